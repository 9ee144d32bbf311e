//! What the form of `[[supplier]]` and `[[on_shelf]]` does not show: names that nothing has, amounts told twice, days that
//! are none.

use std::collections::{BTreeMap, BTreeSet};

use super::fault::Fault;
use super::types::Job;
use crate::laminate::stock::Stock;
use crate::nearest::nearest;
use crate::workshop::order::entries::{Told, day};
use crate::workshop::order::offers::UsualPacks;
use crate::workshop::order::units::hardener_name;
use crate::workshop::takes::asked::Fixing;

/// Every fault of meaning, with the path of the value at fault.
pub(super) fn order_faults(job: &Job) -> Vec<(String, Fault)> {
    let known = if job.suppliers.is_empty() && job.on_shelf.is_empty() { BTreeSet::new() } else { names(job) };
    let mut check = Check { known, faults: Vec::new() };
    let mut lines: BTreeMap<&str, usize> = BTreeMap::new();
    for (number, supplier) in job.suppliers.iter().enumerate() {
        let path = format!("supplier[{number}]");
        let at = format!("{path}.name");
        match lines.get(supplier.name.as_str()) {
            Some(&first_line) => {
                let name = supplier.name.clone();
                check.faults.push((at, Fault::Repeated { what: "suppliers", name, first_line }));
            }
            None => _ = lines.insert(&supplier.name, job.source.line(&at)),
        }
        if supplier.currency.is_empty() {
            check.told(
                path.clone(),
                &format!("nothing says the currency of supplier \"{}\"", supplier.name),
                "add `currency = \"EUR\"` to it, or at the top of the job for all that name none",
            );
        }
        for (number, pack) in supplier.packs.iter().enumerate() {
            check.entry(&format!("{path}.pack[{number}]"), &pack.of, pack.told());
        }
    }
    for (number, entry) in job.on_shelf.iter().enumerate() {
        let path = format!("on_shelf[{number}]");
        check.entry(&path, &entry.of, entry.told());
        check.day(&path, "expires", entry.expires.as_deref());
        check.day(&path, "opened", entry.opened.as_deref());
        if entry.keeps_opened_months.is_some() && entry.opened.is_none() {
            check.told(
                format!("{path}.keeps_opened_months"),
                "nothing says when it was opened",
                "add `opened = \"2026-09-30\"` with the day, or give `expires`",
            );
        }
    }
    check.faults
}

/// Everything that can be ordered: the stock's, hardeners by their resin, and what has usual packs under its own name.
fn names(job: &Job) -> BTreeSet<String> {
    let mut names = BTreeSet::new();
    let mut cured: BTreeSet<String> = BTreeSet::new();
    if let Ok(stock) = Stock::starter() {
        names.extend(stock.reinforcements.into_keys().chain(stock.cores.into_keys()).chain(stock.fillers.into_keys()));
        cured.extend(stock.resins.into_keys().chain(stock.gelcoats.into_keys()));
    }
    let own = &job.stock;
    names.extend(own.reinforcement.keys().chain(own.core.keys()).chain(own.filler.keys()).cloned());
    cured.extend(own.resin.keys().chain(own.gelcoat.keys()).cloned());
    names.extend(cured.iter().map(|name| hardener_name(name)));
    names.extend(cured.iter().map(|name| format!("syringe for {}", hardener_name(name))));
    names.extend(cured);
    if let Ok(usual) = UsualPacks::starter() {
        names.extend(usual.names().map(str::to_owned));
    }
    // What the job itself gives a name.
    names.extend(job.colour.iter().map(|colour| colour.paste.clone()));
    names.extend(job.parts.iter().flat_map(|part| &part.joints).filter_map(|joint| joint.adhesive.clone()));
    names.extend(job.parts.iter().flat_map(|part| &part.fixings).filter_map(Fixing::plate_name));
    names
}

struct Check {
    known: BTreeSet<String>,
    faults: Vec<(String, Fault)>,
}

impl Check {
    fn entry(&mut self, path: &str, of: &str, told: Told) {
        // Abrasive goes by grades, of which there are many.
        let grade = of.strip_prefix("abrasive P").and_then(|grade| grade.parse::<u32>().ok());
        if !self.known.contains(of) && grade.is_none() {
            let nearest = nearest(of, self.known.iter().map(String::as_str)).map(str::to_owned);
            let known = "`matloft stock` lists what there is; a new one goes under [stock]".to_owned();
            let fault = Fault::Unknown { what: "material", name: of.to_owned(), nearest, known };
            self.faults.push((format!("{path}.of"), fault));
        }
        match told.n_ways() {
            1 => {}
            0 => self.told(
                path.to_owned(),
                &format!("nothing says how much of \"{of}\" it is"),
                "add one of `kg`, `litres`, `metres`, `m2` and `pieces`",
            ),
            _ => self.told(
                path.to_owned(),
                &format!("how much of \"{of}\" it is stands there more than once"),
                "keep one of `kg`, `litres`, `metres`, `m2` and `pieces`",
            ),
        }
    }

    fn day(&mut self, path: &str, key: &str, text: Option<&str>) {
        if let Some(text) = text.filter(|text| day(text).is_none()) {
            self.told(
                format!("{path}.{key}"),
                &format!("`{key}` is \"{text}\", which is no day"),
                "write year, month and day, such as \"2027-03-31\"",
            );
        }
    }

    fn told(&mut self, path: String, message: &str, remedy: &str) {
        self.faults.push((path, Fault::Laminate { message: message.to_owned(), remedy: remedy.to_owned() }));
    }
}
