//! What in a schedule no hand can do, or what goes wrong with it later.

use super::cure::catalyst_note;
use super::error::LaminateError;
use super::plies::{PlannedPly, PliesPlan, Stuff};
use super::ply::glass_content;
use super::schedule::{Schedule, Zone};
use super::stock::{Binder, Family, Kind, Practice, Reinforcement, Stock};
use crate::notes::Note;

/// Colder than this nothing is mixed: warm shop and resin. Published as the least that a workshop's heating must hold
/// (approval guidance of a classification society: over 15 C, 18 to 22 C recommended); under it polyester stays undercured
/// whatever the catalyst. Set lower, tables that go down there would be used.
pub const COLDEST_C: f64 = 15.0;

/// From here on nothing that holds styrene is mixed or laid: its flash point, over which its vapour and air can explode
/// (International Chemical Safety Card 0073). Set higher, an evening would be planned in which a spark is enough.
pub const HOTTEST_C: f64 = 31.0;

/// Every warning about one schedule, in the order of its layers.
///
/// # Errors
/// [`LaminateError`] if the schedule names what the stock does not hold.
pub fn schedule_notes(plan: &PliesPlan, schedule: &Schedule, stock: &Stock) -> Result<Vec<Note>, LaminateError> {
    let user = format!("schedule \"{}\"", plan.schedule);
    let mut notes = Vec::new();
    notes.extend(catalyst_note(stock.resin(&user, &schedule.resin)?, schedule.catalyst_percent));
    notes.extend(first_ply_notes(&user, plan, stock));
    notes.extend(dry_glass_notes(&user, plan, stock));
    notes.extend(epoxy_notes(&user, plan, stock));
    if plan.gelcoat.is_none() {
        notes.push(Note::info(
            "no-gelcoat",
            format!("{user} has no gelcoat; the glass will be the face"),
            "name one with `gelcoat`, or paint the face",
        ));
    }
    notes.extend(thin_coat_note(plan, stock));
    Ok(notes)
}

/// Gelcoat that goes on too thin stays soft, and wrinkles under the first ply.
fn thin_coat_note(plan: &PliesPlan, stock: &Stock) -> Option<Note> {
    let gelcoat = stock.gelcoats.get(&plan.gelcoat.as_ref()?.name)?;
    let n_coats = gelcoat.n_coats(&stock.practice);
    let (coat_mm, least) = (gelcoat.thickness_mm.value / f64::from(n_coats), &stock.practice.gelcoat_coat_mm);
    (coat_mm < least.low).then(|| {
        Note::warning(
            "gelcoat-coat-thin",
            format!(
                "gelcoat \"{}\": a film of {} mm in {n_coats} {} is {coat_mm:.2} mm a coat, under {} mm ({}; {})",
                gelcoat.name,
                gelcoat.thickness_mm.value,
                if n_coats == 1 { "coat" } else { "coats" },
                least.low,
                least.mark.words(),
                least.source
            ),
            "give `thickness_mm` and `coverage_kg_m2` of a thicker film, or `gelcoat_coat_mm` under [shop] from its maker's sheet",
        )
    })
}

/// The reinforcements of a plan, each once, with the first ply that uses it.
fn reinforcements<'a>(plan: &'a PliesPlan, stock: &'a Stock) -> Vec<(&'a PlannedPly, &'a Reinforcement)> {
    let mut seen: Vec<(&PlannedPly, &Reinforcement)> = Vec::new();
    for ply in &plan.plies {
        if let Some(reinforcement) = stock.reinforcements.get(&ply.material)
            && !seen.iter().any(|(_, other)| other.name == reinforcement.name)
        {
            seen.push((ply, reinforcement));
        }
    }
    seen
}

fn first_ply_notes(user: &str, plan: &PliesPlan, stock: &Stock) -> Vec<Note> {
    // The first ply that lies everywhere, and any strip or patch that is laid before it, touch the gelcoat.
    let n_touching =
        plan.plies.iter().position(|ply| ply.zone == Zone::All).map_or(plan.plies.len(), |index| index + 1);
    let touching = if plan.gelcoat.is_some() { &plan.plies[..n_touching] } else { &[] };
    touching.iter().flat_map(|ply| first_ply_note(user, ply, stock)).collect()
}

fn first_ply_note(user: &str, ply: &PlannedPly, stock: &Stock) -> Vec<Note> {
    if matches!(ply.stuff, Stuff::Core { .. }) {
        return vec![Note::warning(
            "core-beside-gelcoat",
            format!("{user}: the core \"{}\" lies against the gelcoat", ply.material),
            "lay glass first",
        )];
    }
    let Some(reinforcement) = stock.reinforcements.get(&ply.material) else { return Vec::new() };
    let (weight, most) = (reinforcement.areal_weight_g_m2.value, &stock.practice.first_ply_most_g_m2);
    let heavy = (weight > most.value).then(|| {
        Note::warning(
            "heavy-first-ply",
            format!(
                "{user}: ply {} beside the gelcoat is {weight} g/m2, over {} g/m2 ({}; {})",
                ply.ply,
                most.value,
                most.mark.words(),
                most.source
            ),
            "lay a lighter mat first: 225 g/m2 against print-through",
        )
    });
    let woven = (!reinforcement.next_to_gelcoat).then(|| {
        Note::warning(
            "weave-beside-gelcoat",
            format!("{user}: \"{}\" lies against the gelcoat, through which its weave will show", ply.material),
            "lay a light mat or tissue first",
        )
    });
    heavy.into_iter().chain(woven).collect()
}

fn dry_glass_notes(user: &str, plan: &PliesPlan, stock: &Stock) -> Vec<Note> {
    let most = stock.practice.mat_most_glass_content.value;
    let mats = reinforcements(plan, stock).into_iter().filter(|(_, reinforcement)| reinforcement.kind == Kind::Mat);
    mats.filter_map(|(_, mat)| {
        let content = glass_content(mat)?.likely;
        (content > most).then(|| {
            let ratio = super::ply::resin_per_glass(content);
            Note::warning(
                "dry-glass",
                format!(
                    "{user}: \"{}\" is reckoned at {:.0} % glass ({ratio:.2} of resin to glass); by hand chopped mat does \
                     not get over {:.0} %, so this much resin leaves it dry",
                    mat.name,
                    100.0 * content,
                    100.0 * most
                ),
                "reckon chopped mat at 2.5 of resin to 1 of glass, and order resin for that",
            )
        })
    })
    .collect()
}

fn epoxy_notes(user: &str, plan: &PliesPlan, stock: &Stock) -> Vec<Note> {
    let family = |ply: &PlannedPly| stock.resins.get(&ply.resin).map(|resin| resin.family);
    let mut notes = Vec::new();
    for (ply, reinforcement) in reinforcements(plan, stock) {
        // A material may be used in two resins: any of its plies in epoxy counts.
        let in_epoxy =
            plan.plies.iter().any(|other| other.material == ply.material && family(other) == Some(Family::Epoxy));
        if in_epoxy && matches!(reinforcement.binder, Binder::Powder | Binder::Emulsion) {
            notes.push(Note::warning(
                "bound-mat-in-epoxy",
                format!(
                    "{user}: the binder of \"{}\" needs styrene to soften and stays stiff in epoxy",
                    reinforcement.name
                ),
                "take woven or stitched glass, or mat that is stitched",
            ));
        }
    }
    notes.extend(polyester_over_epoxy(user, plan, stock));
    let gelcoat = plan.gelcoat.as_ref().and_then(|gelcoat| stock.gelcoats.get(&gelcoat.name));
    let first = plan.plies.first().and_then(family);
    match (gelcoat.map(|gelcoat| gelcoat.family), first) {
        (Some(Family::Polyester | Family::Vinylester), Some(Family::Epoxy)) => notes.push(Note::warning(
            "epoxy-on-gelcoat",
            format!("{user} lays epoxy on a polyester gelcoat, to which it bonds badly"),
            "let the gelcoat cure and abrade it first, as the days have it, or lay a tie coat; try the whole stack on a test patch",
        )),
        (Some(Family::Epoxy), Some(Family::Polyester | Family::Vinylester)) => notes.push(Note::warning(
            "polyester-over-epoxy",
            format!("{user} lays polyester on an epoxy gelcoat: its cure is inhibited there and it bonds badly"),
            "keep to one family of resin",
        )),
        _ => {}
    }
    notes
}

fn polyester_over_epoxy(user: &str, plan: &PliesPlan, stock: &Stock) -> Option<Note> {
    let is_epoxy = |ply: &PlannedPly| stock.resins.get(&ply.resin).map(|resin| resin.family == Family::Epoxy);
    let pair =
        plan.plies.windows(2).find(|pair| is_epoxy(&pair[0]) == Some(true) && is_epoxy(&pair[1]) == Some(false))?;
    Some(Note::warning(
        "polyester-over-epoxy",
        format!(
            "{user}: ply {} in {} goes over ply {} in {}: polyester is inhibited on epoxy and bonds badly",
            pair[1].ply, pair[1].resin, pair[0].ply, pair[0].resin
        ),
        "keep to one family of resin, or lay the polyester first",
    ))
}

/// A warning if the shop is told to be too cold for polyester and vinyl ester to cure.
#[must_use]
pub fn cold_shop_note(practice: &Practice) -> Option<Note> {
    let temperature_c = practice.temperature_c.as_ref()?.value;
    (temperature_c < COLDEST_C).then(|| {
        Note::warning(
            "cold-shop",
            format!("the shop is at {temperature_c} C while it is laid up; under {COLDEST_C} C resin cures badly or not at all"),
            "warm shop, tool and resin to 18 C or more; more catalyst does not make up for it",
        )
    })
}

/// A warning if the shop is told to be so hot that styrene's vapour can explode.
#[must_use]
pub fn hot_shop_note(practice: &Practice) -> Option<Note> {
    let temperature_c = practice.temperature_c.as_ref()?.value;
    (temperature_c >= HOTTEST_C).then(|| {
        Note::warning(
            "hot-shop",
            format!(
                "the shop is at {temperature_c} C while it is laid up; from {HOTTEST_C} C on styrene's vapour and air can \
                 explode (International Chemical Safety Card 0073)"
            ),
            HOT_REMEDY,
        )
    })
}

/// What to do about a shop that is too hot.
pub const HOT_REMEDY: &str =
    "bring shop, tool and resin down to 25 C or less: begin early in the morning, in the shade, or on another day";

/// A warning if the shop is told to be colder than what the time of cure is for.
#[must_use]
pub fn cool_cure_note(practice: &Practice) -> Option<Note> {
    let (temperature_c, cure_c) = (practice.temperature_c.as_ref()?.value, practice.cure_least_c.value);
    let h = practice.cure_h.value;
    (COLDEST_C..cure_c).contains(&temperature_c).then(|| {
        Note::warning(
            "cool-cure",
            format!(
                "the shop is at {temperature_c} C, and {h} h of cure are for {cure_c} C or more: colder, what comes off the tool \
                 then is soft, moves and prints through"
            ),
            format!(
                "hold the shop at {cure_c} C while it cures, or put a heated tent over tool and laminate; the days are planned \
                 for that"
            ),
        )
    })
}

/// What a mould has to be as thick as, in mm: its monolithic moulding times the practice's factor.
#[must_use]
pub fn least_mould_mm(moulding_mm: f64, practice: &Practice) -> f64 {
    moulding_mm * practice.mould_over_moulding.value
}

/// How many plies of a thickness bring a first skin up to a wanted thickness; none if it is there already.
#[must_use]
pub fn plies_for_thickness(wanted_mm: f64, skin_mm: f64, ply_mm: f64) -> Option<u32> {
    if ply_mm.is_nan() || ply_mm <= 0.0 || !wanted_mm.is_finite() {
        return None;
    }
    Some(((wanted_mm - skin_mm) / ply_mm - 1e-9).ceil().max(0.0) as u32)
}

/// A warning if the mould is under so many times the thickness of its moulding. Against a cored moulding only the skin
/// before its core counts.
#[must_use]
pub fn mould_note(mould: &PliesPlan, moulding: &PliesPlan, practice: &Practice) -> Option<Note> {
    let before_core = |ply: &&PlannedPly| matches!(ply.stuff, Stuff::Glass(_));
    let skin = moulding.plies.iter().take_while(before_core).filter(|ply| ply.zone == Zone::All);
    let moulding_mm: f64 = skin.map(|ply| ply.per_m2.thickness_mm.likely).sum();
    let mould_mm = mould.plain_thickness_mm().likely;
    let least_mm = least_mould_mm(moulding_mm, practice);
    if mould_mm >= least_mm - 1e-9 {
        return None;
    }
    let factor = &practice.mould_over_moulding;
    let what = if moulding.is_cored() { "outer skin of the cored moulding" } else { "moulding" };
    Some(Note::warning(
        "thin-mould",
        format!(
            "schedule \"{}\" builds {mould_mm:.1} mm, under {} times the {moulding_mm:.1} mm {what} of schedule \"{}\" ({}; {})",
            mould.schedule,
            factor.value,
            moulding.schedule,
            factor.mark.words(),
            factor.source
        ),
        format!("add plies to {least_mm:.1} mm; on large flats stiffeners matter more than plies"),
    ))
}

#[cfg(test)]
mod tests;
