//! What mixes weigh out, where that is more than the reserve keeps.

use std::collections::BTreeMap;

use super::{Need, NeedKind, Needs};
use crate::laminate::workings::Working;
use crate::units::kg_from_g;
use crate::workshop::mixes::Mixes;
use crate::workshop::mixes::lines::MixLine;
use crate::workshop::mixes::recipe::MixKind;
use crate::workshop::takes::Unmixed;

/// Why more is kept than the reserve of the job.
const WHY: &str = "mixes are weighed out in whole steps of the scale, which comes to more than the usual reserve";
/// What is had, in the sum behind it.
const WEIGHED: &str = "weighed out in mixes";

type Weighed = BTreeMap<(NeedKind, String), f64>;

impl Needs {
    /// Keeps at least what the mixes weigh out: small ones that are rounded up can come to more than the reserve. `unmixed` is
    /// what was taken and no mix holds.
    pub fn hold(&mut self, mixes: &Mixes, unmixed: &[Unmixed]) {
        /// Sums this near to the reserve are it.
        const SAME: f64 = 1e-9;
        for ((kind, material), kg) in weighed_kg(mixes, unmixed) {
            let is_it = |need: &&mut Need| need.kind == kind && need.material == material && need.kg > 0.0;
            if let Some(need) = self.needs.iter_mut().find(is_it)
                && kg > need.kg_with_reserve * (1.0 + SAME)
            {
                need.hold(kg);
            }
        }
    }
}

impl Need {
    /// So much to have, in place of what the reserve comes to.
    fn hold(&mut self, kg: f64) {
        self.reserve_percent = 100.0 * (kg / self.kg - 1.0);
        self.reserve_why = WHY;
        self.kg_with_reserve = kg;
        self.litres_with_reserve = self.litres.map(|litres| litres * kg / self.kg);
        let (net_kg, litres, all_litres) = (self.kg, self.litres, self.litres_with_reserve);
        for sum in &mut self.workings {
            if sum.of == "kg_with_reserve" {
                *sum = Working::of("kg_with_reserve", "mass to buy", kg, "kg").plus(kg, "kg", WEIGHED);
            } else if let (Some(litres), Some(all), "litres_with_reserve") = (litres, all_litres, sum.of.as_str()) {
                let volume = Working::of("litres_with_reserve", "volume to buy", all, "l").plus(litres, "l", "");
                *sum = volume.over(net_kg, "kg", "").times(kg, "kg", WEIGHED);
            }
        }
    }
}

/// What is weighed out of each liquid over the whole job, in kg, and of what no mix holds what is needed.
fn weighed_kg(mixes: &Mixes, unmixed: &[Unmixed]) -> Weighed {
    let mut weighed = Weighed::new();
    for line in &mixes.lines {
        of_line(&mut weighed, mixes, line);
    }
    for Unmixed { kind, material, kg, .. } in unmixed {
        *weighed.entry((*kind, material.clone())).or_default() += kg;
    }
    weighed
}

/// What all mixes of a line weigh out; where they are refused, what it needs.
fn of_line(weighed: &mut Weighed, mixes: &Mixes, line: &MixLine) {
    let Some(mixed) = mixes.materials.get(line.recipe) else { return };
    let count = f64::from(line.count);
    let n_mixes = line.mixes.map_or(0.0, |cups| cups.n_mixes as f64);
    let mut add = |kind, material: &str, each_g: Option<f64>, need_kg: f64| {
        let kg = each_g.map_or(need_kg, |g| n_mixes * kg_from_g(g));
        *weighed.entry((kind, material.to_owned())).or_default() += count * kg;
    };
    let kind = match mixed.kind {
        MixKind::Gelcoat => NeedKind::Gelcoat,
        MixKind::Putty => NeedKind::Filler,
        MixKind::Adhesive => NeedKind::Adhesive,
        MixKind::Resin => NeedKind::Resin,
    };
    add(kind, &line.material, line.mixes.map(|cups| cups.weigh_g), line.alone_kg);
    if let Some(agent) = mixed.stirred.map(|stirred| stirred.agent(&line.material)) {
        add(agent.kind, &agent.material, line.mixes.map(|cups| cups.stir_g), kg_from_g(line.planned_g));
    }
    for also in &line.also {
        add(also.kind, &also.material, also.each_g, also.kg);
    }
}
