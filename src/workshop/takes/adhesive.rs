//! Adhesive in joints: a resin or a putty of the stock by that one's own recipe, anything else by the job's figures.

use super::asked::{Joint, JointKind};
use super::bench::{Bench, Owner, figure, last_glass};
use super::habits::Extras;
use super::{Amounts, Mixed};
use crate::laminate::cure::{Agent, Cure, Dose, volume_ml};
use crate::laminate::figure::{Figure, Spread};
use crate::laminate::gel::{GelPoint, GelTable};
use crate::laminate::stock::{Family, Filler, Resin, Stock};
use crate::laminate::workings::Working;
use crate::notes::Note;
use crate::units::{g_from_kg, kg_from_g};
use crate::workshop::mixes::recipe::{MixKind, Recipe, Stirred};
use crate::workshop::needs::NeedKind;
use crate::workshop::work::{PieceWork, PlyWork};

/// Name of an adhesive that the job does not name.
const ADHESIVE: &str = "bonding paste";

/// A joint that is glued.
pub(super) struct Bond<'a> {
    pub owner: Owner,
    pub piece: &'a PieceWork,
    pub joint: &'a Joint,
    /// What it is, for lists.
    pub why: String,
    /// The sum behind its area.
    pub strip: Working,
}

/// What the adhesive of a joint is.
enum Stuff<'a> {
    /// A resin of the stock, off by its own catalyst or hardener.
    Resin(&'a Resin),
    /// A putty of the stock, off by its own hardener paste.
    Putty(&'a Filler, &'a Figure),
    /// Anything else; a filler of the stock gives it density and gel times.
    Other(Option<&'a Filler>),
}

impl<'a> Stuff<'a> {
    fn of(name: &str, stock: &'a Stock) -> Self {
        if let Some(resin) = stock.resins.get(name) {
            return Self::Resin(resin);
        }
        let filler = stock.fillers.get(name);
        match filler.and_then(|filler| Some((filler, filler.hardener_percent.as_ref()?))) {
            Some((filler, percent)) => Self::Putty(filler, percent),
            None => Self::Other(filler),
        }
    }

    /// It is known to be no epoxy.
    fn is_styrenic(&self) -> bool {
        match self {
            Self::Resin(resin) => resin.family != Family::Epoxy,
            Self::Putty(..) => true,
            Self::Other(_) => false,
        }
    }

    /// The key and the figure by which the stock knows how dense it is in the joint.
    fn density(&self) -> Option<(&'static str, &'a Figure)> {
        match self {
            Self::Resin(resin) => Some(("cured_density_g_cm3", &resin.cured_density_g_cm3)),
            Self::Putty(filler, _) | Self::Other(Some(filler)) => Some(("density_g_cm3", &filler.density_g_cm3)),
            Self::Other(None) => None,
        }
    }
}

/// How much of an adhesive a joint takes.
struct Spreads {
    kg: Spread,
    litres: f64,
    working: Working,
}

pub(super) fn adhesive(bench: &mut Bench<'_>, bond: &Bond<'_>, extras: &Extras) {
    let name = bond.joint.adhesive.as_deref().unwrap_or(ADHESIVE);
    let stock = bench.stock;
    let stuff = Stuff::of(name, stock);
    let Some(spread) = spread(bench, bond, name, &stuff, extras) else { return };
    if stuff.is_styrenic() {
        on_epoxy(bench, bond, name);
    }
    match stuff {
        Stuff::Resin(resin) => of_resin(bench, bond, resin, &spread),
        Stuff::Putty(_, percent) => of_putty(bench, bond, name, percent, &spread),
        Stuff::Other(_) => other(bench, bond, name, &spread, extras),
    }
    bench.line(bond.piece, format!("{}, adhesive", bond.why), spread.kg, spread.working);
}

/// Nothing for a joint without a bond.
fn spread(
    bench: &mut Bench<'_>,
    Bond { owner, joint, why, strip, .. }: &Bond<'_>,
    name: &str,
    stuff: &Stuff<'_>,
    extras: &Extras,
) -> Option<Spreads> {
    let place = format!("{}, {why}", owner.name);
    let bond_mm = match (joint.bond_mm, joint.kind) {
        (Some(bond_mm), _) => Spread::exactly(bench.given("bond_mm", bond_mm, &place)),
        (None, JointKind::Strap) => return None,
        (None, _) => figure!(bench, "extras", extras, bond_mm, place),
    };
    let density_g_cm3 = match (joint.adhesive_density_g_cm3, stuff.density()) {
        (Some(density), _) => bench.given("adhesive_density_g_cm3", density, &place),
        (None, Some((key, figure))) => bench.uses(name, key, figure, &place).likely,
        (None, None) => figure!(bench, "extras", extras, adhesive_density_g_cm3, place).likely,
    };
    // 1 mm over 1 m2 is a litre.
    let kg = bond_mm.map(|bond_mm| strip.result * bond_mm * density_g_cm3);
    let working =
        Working { of: "kg".to_owned(), words: "adhesive".into(), result: kg.likely, unit: "kg", ..strip.clone() }
            .times(bond_mm.likely, "mm", "bond")
            .times(density_g_cm3, "g/cm3", "its density");
    Some(Spreads { kg, litres: strip.result * bond_mm.likely, working })
}

/// A warning where the joint is of plies in epoxy.
fn on_epoxy(bench: &mut Bench<'_>, Bond { piece, why, .. }: &Bond<'_>, name: &str) {
    if last_glass(piece).is_some_and(|ply| bench.stock.is_epoxy(&ply.resin)) {
        let note = Note::warning(
            "polyester-over-epoxy",
            format!("{why} is bonded with \"{name}\", which is no epoxy: it bonds badly to plies in epoxy"),
            "take an adhesive of epoxy, with its own hardener",
        );
        bench.taken.build_notes.push(((piece.place.part, piece.place.build), note));
    }
}

/// A resin goes off as it does in plies: an epoxy by its own hardener in the maker's ratio.
fn of_resin(bench: &mut Bench<'_>, bond: &Bond<'_>, resin: &Resin, spread: &Spreads) {
    let Bond { owner, piece, why, .. } = bond;
    let Some(cure) = Cure::of_resin(resin, piece.catalyst_percent) else { return };
    let (why, mix_kg) = (format!("{why}, adhesive"), spread.kg.likely);
    let alone_kg = cure.resin_kg(mix_kg);
    let alone = Working { result: alone_kg, ..spread.working.clone() };
    let alone = if alone_kg == mix_kg { alone } else { alone.times(alone_kg / mix_kg, "", "resin in the mix") };
    let amounts = Amounts { kg: alone_kg, litres: alone_kg / resin.liquid_density_g_ml.value, ..Amounts::default() };
    bench.take(owner, &why, NeedKind::Resin, &resin.name, amounts, alone);
    let dose = cure.dose(mix_kg);
    bench.take_dose(owner, &why, &resin.name, 1.0, mix_kg, dose);
    let mixed = mixed(bond, MixKind::Resin, &resin.name, mix_kg);
    bench.mixed(Mixed { why, alone_kg, planned_g: dose.g, ..mixed });
    let note = Note::info(
        "adhesive-is-resin",
        format!(
            "{} is bonded with the resin \"{}\": what thickens it, so that it stays in the joint, is not in the order",
            bond.why, resin.name
        ),
        "order the thickener that its maker names, or name an adhesive that comes thickened",
    );
    bench.taken.build_notes.push(((piece.place.part, piece.place.build), note));
}

/// A putty goes off by its hardener paste: no liquid catalyst goes into it.
fn of_putty(bench: &mut Bench<'_>, bond: &Bond<'_>, name: &str, percent: &Figure, spread: &Spreads) {
    let Bond { owner, why, .. } = bond;
    let place = format!("{}, {why}", owner.name);
    let percent = bench.uses(name, "hardener_percent", percent, &place).likely;
    let (why, kg) = (format!("{why}, adhesive"), spread.kg.likely);
    let amounts = Amounts { kg, litres: spread.litres, ..Amounts::default() };
    bench.take(owner, &why, NeedKind::Filler, name, amounts, spread.working.clone());
    let g = g_from_kg(kg) * percent / 100.0;
    let paste = Working::of("kg", "hardener paste", kg_from_g(g), "kg").plus(kg, "kg", "").times(
        percent / 100.0,
        "",
        "hardener paste",
    );
    let amounts = Amounts { kg: kg_from_g(g), ..Amounts::default() };
    bench.take(owner, &why, NeedKind::FillerHardener, "filler hardener", amounts, paste);
    let mixed = mixed(bond, MixKind::Putty, name, kg);
    bench.mixed(Mixed { why, planned_g: g, ..mixed });
}

/// What the stock does not know how to mix: with a hardener of its own, or with liquid catalyst.
fn other(bench: &mut Bench<'_>, bond: &Bond<'_>, name: &str, spread: &Spreads, extras: &Extras) {
    let Bond { owner, piece, why, .. } = bond;
    let (place, kg) = (format!("{}, {why}", owner.name), spread.kg.likely);
    let amounts = Amounts { kg, litres: spread.litres, ..Amounts::default() };
    bench.take(owner, why, NeedKind::Adhesive, name, amounts, spread.working.clone());
    // An adhesive for epoxy comes in two parts, whose mass is in its own: peroxide has no place in it.
    let doses = || piece.plies.iter().filter_map(|ply: &PlyWork| ply.dose);
    let is_of_epoxy =
        doses().any(|dose| dose.agent == Agent::Hardener) && doses().all(|dose| dose.agent != Agent::Catalyst);
    if is_of_epoxy || extras.adhesive_catalyst_percent.value == 0.0 {
        const OWN: &str = "it comes with a hardener of its own: mix it by the sheet that comes with it";
        bench.unmixed(NeedKind::Adhesive, name, f64::from(owner.count) * kg, OWN);
        return;
    }
    let range = figure!(bench, "extras", extras, adhesive_catalyst_percent, place);
    let g = g_from_kg(kg) * range.likely / 100.0;
    let catalyst_g_ml = catalyst_g_ml(bench, piece, extras, &place);
    let dose = Dose { agent: Agent::Catalyst, g, ml: volume_ml(g, catalyst_g_ml) };
    bench.take_dose(owner, &format!("{why}, adhesive"), name, 1.0, kg, dose);
    let recipe = catalysed(name, range, Some(catalyst_g_ml), bench.stock);
    let mixed = mixed(bond, MixKind::Adhesive, name, kg);
    bench.mixed(Mixed { planned_g: g, recipe: Some(recipe), ..mixed });
}

/// How an adhesive is mixed: as the stock mixes a resin or putty of its name, else with so much liquid catalyst; nothing for one
/// that comes with a hardener of its own.
#[must_use]
pub fn adhesive_recipe(name: &str, catalyst_percent: Option<Spread>, stock: &Stock) -> Option<Recipe> {
    match Stuff::of(name, stock) {
        Stuff::Resin(resin) => Recipe::of_resin(resin, None),
        Stuff::Putty(filler, _) => Recipe::of_filler(filler),
        Stuff::Other(_) => catalyst_percent.map(|percent| catalysed(name, percent, None, stock)),
    }
}

fn catalysed(name: &str, percent: Spread, density_g_ml: Option<f64>, stock: &Stock) -> Recipe {
    Recipe {
        kind: MixKind::Adhesive,
        material: name.to_owned(),
        stirred: Stirred::Catalyst,
        percent,
        told_percent: None,
        density_g_ml,
        active_oxygen_percent: None,
        table: GelTable::of(&adhesive_gel_times(name, stock)),
    }
}

/// So much of an adhesive, stirred up for a joint.
fn mixed(Bond { owner, piece, why, .. }: &Bond<'_>, kind: MixKind, name: &str, kg: f64) -> Mixed {
    Mixed {
        kind,
        material: name.to_owned(),
        of: piece.place,
        why: why.clone(),
        count: owner.count,
        need_kg: kg,
        alone_kg: kg,
        glass_kg: 0.0,
        brushed_m2: 0.0,
        planned_g: 0.0,
        recipe: None,
        also: Vec::new(),
    }
}

/// Gel times of an adhesive: those of the stock's filler of its name, or the starter's for the paste that is taken unasked.
#[must_use]
pub fn adhesive_gel_times(name: &str, stock: &Stock) -> Vec<GelPoint> {
    #[derive(serde::Deserialize)]
    struct Starter {
        gel_min: Vec<GelPoint>,
    }
    if let Some(own) = stock.fillers.get(name).and_then(|found| found.gel_min.clone()) {
        return own;
    }
    if name != ADHESIVE {
        return Vec::new();
    }
    let starter: Starter = toml::from_str(include_str!("../starter/adhesive.toml"))
        .expect("the starter's gel times are part of the program and were tested");
    starter.gel_min
}

/// Density of the catalyst that the piece's own resin takes, or else the starter's.
fn catalyst_g_ml(bench: &mut Bench<'_>, piece: &PieceWork, extras: &Extras, place: &str) -> f64 {
    let doses = piece.plies.iter().filter_map(|ply: &PlyWork| ply.dose);
    let mut doses = doses.chain(piece.gelcoat.as_ref().and_then(|gelcoat| gelcoat.dose));
    let own = doses.find(|dose| dose.agent == Agent::Catalyst && dose.ml > 0.0);
    own.map_or_else(
        || figure!(bench, "extras", extras, adhesive_catalyst_density_g_ml, place).likely,
        |dose| dose.g / dose.ml,
    )
}
