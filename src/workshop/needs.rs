//! Totals per material over the whole job, with the reserve stated.

use std::collections::BTreeMap;

use serde::Serialize;

use super::takes::habits::Extras;
use super::takes::{Amounts, Measure, Take, Whose};
use crate::laminate::cure::{Agent, Dose};
use crate::laminate::figure::Figure;
use crate::laminate::lay_up::LayUp;
use crate::laminate::stock::{Filler, Practice, Stock};
use crate::laminate::workings::Working;
use crate::units::{kg_from_g, kg_m2_from_g_m2, l_from_ml, m_from_mm};

mod held;

/// A quantity with its reserve: `q (1 + percent / 100)`.
#[must_use]
pub fn with_reserve(quantity: f64, reserve_percent: f64) -> f64 {
    quantity * (1.0 + reserve_percent / 100.0)
}

/// Volume in the unit of the coverage that so many layers of an area take: suppliers' "so much area from so much resin".
/// Such figures are for buying; they hold the loss and are no ratio of a laminate. Nothing for no coverage.
#[must_use]
pub fn volume_by_coverage(area: f64, n_layers: u32, coverage_per_volume: f64) -> Option<f64> {
    (coverage_per_volume > 0.0).then(|| area * f64::from(n_layers) / coverage_per_volume)
}

/// Declares what can be needed, each with its word for lists and documents.
macro_rules! need_kinds {
    ($($(#[$doc:meta])* $kind:ident = $word:literal,)+) => {
        /// What is needed; the order in which lists show it.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum NeedKind {
            $($(#[$doc])* $kind,)+
        }

        impl NeedKind {
            /// All of them, in order.
            pub const ALL: &'static [Self] = &[$(Self::$kind,)+];

            /// The word for it, as in lists and JSON.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self {
                    $(Self::$kind => $word,)+
                }
            }
        }
    };
}

need_kinds! {
    /// Glass off a roll.
    Reinforcement = "reinforcement",
    /// Core.
    Core = "core",
    /// Gelcoat.
    Gelcoat = "gelcoat",
    /// Resin, an epoxy's hardener left out.
    Resin = "resin",
    /// Catalyst; all peroxides of resins, gelcoats and adhesives together.
    Catalyst = "catalyst",
    /// Hardener, by the resin it belongs to.
    Hardener = "hardener",
    /// Fillet putty.
    Filler = "filler",
    /// Flowcoat that is bought as such.
    Flowcoat = "flowcoat",
    /// Adhesive in joints.
    Adhesive = "adhesive",
    /// Colour paste.
    ColourPaste = "colour paste",
    /// Wax solution in flowcoat and the last coat of resin.
    WaxSolution = "wax solution",
    /// Peel ply.
    PeelPly = "peel ply",
    /// Plates in fixings.
    FixingPlate = "fixing plate",
    /// What stiffeners are laid over.
    StiffenerFormer = "stiffener former",
    /// What stiffeners are bedded on.
    StiffenerBed = "stiffener bed",
    /// Timber of cradles.
    CradleTimber = "cradle timber",
    /// Board that flanges are laid against.
    FlangeSheet = "flange sheet",
    /// Clay that boards are sealed with.
    Clay = "modelling clay",
    /// Bolts of split flanges.
    FlangeBolt = "flange bolt",
    /// Formers of locating dimples.
    Dimple = "locating dimple",
    /// Wedge starts in flanges.
    WedgeStart = "wedge start",
    /// Air or water ports.
    Port = "port",
    /// Filler on plugs.
    PlugFiller = "plug filler",
    /// Hardener paste for it.
    FillerHardener = "filler hardener",
    /// Primer on plugs.
    Primer = "primer",
    /// Paint on plugs.
    Paint = "paint",
    /// Compound that paint is polished with.
    Polish = "polishing compound",
    /// Sheets of abrasive.
    Abrasive = "abrasive",
    /// Release wax.
    ReleaseWax = "release wax",
    /// PVA.
    Pva = "PVA",
    /// Acetone.
    Acetone = "acetone",
    /// Brushes.
    Brush = "brush",
    /// Finned rollers.
    Roller = "roller",
    /// Mixing cups.
    Cup = "cup",
    /// Sticks to stir with.
    Stick = "mixing stick",
    /// Syringes for catalyst and hardener.
    Syringe = "syringe",
    /// Wipes.
    Wipe = "wipe",
    /// Gloves.
    Gloves = "gloves",
    /// Half masks.
    Mask = "mask",
    /// Vapour filters.
    VapourFilter = "vapour filter",
    /// Dust masks.
    DustMask = "dust mask",
    /// Goggles.
    Goggles = "goggles",
    /// Eye wash.
    EyeWash = "eye wash",
    /// Coveralls.
    Coverall = "coverall",
}

impl Serialize for NeedKind {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.word())
    }
}

impl NeedKind {
    /// By what it is counted when it is bought.
    #[must_use]
    pub const fn measure(self) -> Measure {
        match self {
            Self::Reinforcement | Self::StiffenerFormer | Self::StiffenerBed | Self::CradleTimber => Measure::M,
            Self::Core | Self::PeelPly | Self::FlangeSheet => Measure::M2,
            Self::Gelcoat
            | Self::Resin
            | Self::Catalyst
            | Self::Hardener
            | Self::Filler
            | Self::Flowcoat
            | Self::Adhesive
            | Self::ColourPaste
            | Self::WaxSolution
            | Self::PlugFiller
            | Self::FillerHardener
            | Self::Clay
            | Self::Polish
            | Self::ReleaseWax => Measure::Kg,
            Self::Primer | Self::Paint | Self::Pva | Self::Acetone => Measure::Litres,
            Self::FixingPlate
            | Self::FlangeBolt
            | Self::Dimple
            | Self::WedgeStart
            | Self::Port
            | Self::Abrasive
            | Self::Brush
            | Self::Roller
            | Self::Cup
            | Self::Stick
            | Self::Syringe
            | Self::Wipe
            | Self::Gloves
            | Self::Mask
            | Self::VapourFilter
            | Self::DustMask
            | Self::Goggles
            | Self::EyeWash
            | Self::Coverall => Measure::Pieces,
        }
    }
}

/// What is kept in reserve of a kind, and why.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reserve<'a> {
    /// Table of the job file that holds the figure.
    pub table: &'static str,
    /// Its key there.
    pub key: &'static str,
    /// The reserve in percent; nothing for what is counted exactly.
    pub figure: Option<&'a Figure>,
    /// Why.
    pub why: &'static str,
}

/// What is kept in reserve of a kind.
#[must_use]
pub fn reserve_of<'a>(kind: NeedKind, practice: &'a Practice, extras: &'a Extras) -> Reserve<'a> {
    let of = |table, key, figure, why| Reserve { table, key, figure: Some(figure), why };
    let shop = |key, figure, why| of("shop", key, figure, why);
    let extra = |key, figure, why| of("extras", key, figure, why);
    use NeedKind as K;
    match kind {
        K::Reinforcement | K::PeelPly => {
            shop("glass_reserve_percent", &practice.glass_reserve_percent, "cut wrong, frayed or left on the roll")
        }
        K::Core | K::FlangeSheet | K::StiffenerFormer | K::StiffenerBed | K::CradleTimber => {
            shop("core_reserve_percent", &practice.core_reserve_percent, "offcuts of sheets and lengths")
        }
        K::Gelcoat | K::ColourPaste => shop(
            "gelcoat_reserve_percent",
            &practice.gelcoat_reserve_percent,
            "left in cup and brush; all of one maker's lot, because another lot is another shade",
        ),
        K::Flowcoat => shop("gelcoat_reserve_percent", &practice.gelcoat_reserve_percent, "left in cup and brush"),
        K::Resin | K::Catalyst | K::Hardener if practice.laminate_reserve_percent.is_some() => Reserve {
            figure: practice.laminate_reserve_percent.as_ref(),
            table: "shop",
            key: "laminate_reserve_percent",
            why: "thrown away in cups and on tools, as it was weighed on builds",
        },
        K::Resin | K::Adhesive => {
            shop("resin_reserve_percent", &practice.resin_reserve_percent, "left in cups, on tools and in drips")
        }
        K::Catalyst | K::Hardener | K::Filler | K::WaxSolution => {
            shop("resin_reserve_percent", &practice.resin_reserve_percent, "lost with what it is stirred into")
        }
        K::PlugFiller | K::FillerHardener | K::Primer | K::Paint | K::Polish | K::Abrasive => extra(
            "finish_reserve_percent",
            &extras.finish_reserve_percent,
            "left in tin, gun and tray; a rough plug may take several times the likely amount of filler: buy more as it shows",
        ),
        K::ReleaseWax | K::Pva => {
            extra("release_reserve_percent", &extras.release_reserve_percent, "left in cloth, sponge and tin")
        }
        K::Clay | K::FlangeBolt | K::Dimple | K::WedgeStart | K::Port => {
            extra("hardware_reserve_percent", &extras.hardware_reserve_percent, "dropped, lost or stripped")
        }
        K::Acetone
        | K::Brush
        | K::Roller
        | K::Cup
        | K::Stick
        | K::Syringe
        | K::Wipe
        | K::Gloves
        | K::VapourFilter
        | K::DustMask
        | K::Coverall => extra(
            "consumables_reserve_percent",
            &extras.consumables_reserve_percent,
            "torn, spilt or gone off before its time",
        ),
        K::FixingPlate | K::Mask | K::Goggles | K::EyeWash => {
            Reserve { table: "", key: "", figure: None, why: "counted; none spare" }
        }
    }
}

/// What one build of one piece takes beside its lay-up.
#[derive(Debug, Clone)]
pub struct Build<'a> {
    /// What it is, for the sums: panel, make and piece.
    pub name: String,
    /// How many are built.
    pub count: u32,
    /// Glass, resin and gelcoat.
    pub lay_up: &'a LayUp,
    /// Metres off the roll for each ply, in its order; 0 for a core or where they are not known.
    pub roll_m: &'a [f64],
    /// Fillers by name, in ml.
    pub filler_ml: Vec<(&'a str, f64)>,
}

/// Total of one material.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Need {
    /// What it is.
    pub kind: NeedKind,
    /// Name in the stock; `catalyst`, or the resin's name for its hardener.
    pub material: String,
    /// By what it is counted when it is bought: the measure that rules.
    pub measure: Measure,
    /// Mass as laid, in kg, without reserve; 0 where it is not known.
    pub kg: f64,
    /// Volume as laid, in litres, without reserve; for what is poured.
    pub litres: Option<f64>,
    /// Area as laid, in m2, without reserve; for what is spread.
    pub m2: Option<f64>,
    /// Metres off the roll by drops, without reserve; for reinforcements.
    pub roll_m: Option<f64>,
    /// Length without reserve, in m, of what comes in lengths.
    pub m: Option<f64>,
    /// Pieces without reserve, of what is counted; not rounded.
    pub pieces: Option<f64>,
    /// Of it for gelcoat, fillets and plies, in every measure that is known.
    pub of_plies: Amounts,
    /// Of it beyond them: joints, fixings, stiffeners, inner faces, release, what is used up.
    pub beyond: Amounts,
    /// Of it for plugs.
    pub of_plugs: Amounts,
    /// The reserve, in percent.
    pub reserve_percent: f64,
    /// Why that much is kept in reserve.
    pub reserve_why: &'static str,
    /// Mass to buy, with reserve, in kg: of glass what the metres off the roll weigh.
    pub kg_with_reserve: f64,
    /// Volume with reserve, in litres.
    pub litres_with_reserve: Option<f64>,
    /// Metres off the roll with reserve.
    pub roll_m_with_reserve: Option<f64>,
    /// Area with reserve, in m2.
    pub m2_with_reserve: Option<f64>,
    /// Length with reserve, in m.
    pub m_with_reserve: Option<f64>,
    /// Pieces with reserve, whole ones.
    pub pieces_with_reserve: Option<f64>,
    /// The sums behind these.
    pub workings: Vec<Working>,
}

impl Need {
    /// What is needed and what to have with the reserve, by the measure that rules. Of glass metres off the roll.
    #[must_use]
    pub fn by_measure(&self) -> (f64, f64) {
        let both = |net: Option<f64>, all: Option<f64>| (net.unwrap_or(0.0), all.unwrap_or(0.0));
        match self.measure {
            Measure::Kg => (self.kg, self.kg_with_reserve),
            Measure::Litres => both(self.litres, self.litres_with_reserve),
            Measure::M2 => both(self.m2, self.m2_with_reserve),
            Measure::M => both(self.roll_m.or(self.m), self.roll_m_with_reserve.or(self.m_with_reserve)),
            Measure::Pieces => both(self.pieces, self.pieces_with_reserve),
        }
    }
}

/// Totals of a job.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Needs {
    /// False if a panel is missing from every total.
    pub complete: bool,
    /// Names of the panels that are missing.
    pub missing: Vec<String>,
    /// Materials, by kind and name.
    pub needs: Vec<Need>,
}

/// One amount of a material, with whose it is and how many there are.
#[derive(Debug, Clone)]
struct Share<'a> {
    name: &'a str,
    count: u32,
    amounts: Amounts,
    cause: Cause,
}

/// What a share is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Cause {
    /// Gelcoat, fillets and plies.
    Plies,
    /// What belongs to a mould or moulding beyond them, and what the job uses up.
    Beyond,
    /// A plug.
    Plug,
}

type Shares<'a> = BTreeMap<(NeedKind, String), Vec<Share<'a>>>;

/// Adds up what a job takes, lay-ups and takes alike. `missing` names the panels that could not be planned; with any, no
/// total is complete.
#[must_use]
pub fn needs(builds: &[Build<'_>], takes: &[Take], missing: &[String], stock: &Stock, extras: &Extras) -> Needs {
    let mut shares: Shares<'_> = BTreeMap::new();
    for build in builds {
        add_build(&mut shares, build, stock);
    }
    for take in takes {
        let cause = if matches!(take.of, Whose::Plug(_)) { Cause::Plug } else { Cause::Beyond };
        let share = Share { name: &take.name, count: take.count, amounts: take.amounts, cause };
        shares.entry((take.kind, take.material.clone())).or_default().push(share);
    }
    let needs = shares.into_iter().map(|((kind, material), shares)| need(kind, material, &shares, stock, extras));
    let mut needs: Vec<Need> = needs.collect();
    // Grades of abrasive from coarse to fine: 80 before 120.
    needs.sort_by_key(|need| (need.kind, if need.kind == NeedKind::Abrasive { need.material.len() } else { 0 }));
    Needs { complete: missing.is_empty(), missing: missing.to_vec(), needs }
}

/// What a lay-up takes, material by material.
fn add_build<'a>(shares: &mut Shares<'a>, build: &'a Build<'_>, stock: &Stock) {
    let mut own: BTreeMap<(NeedKind, String), Amounts> = BTreeMap::new();
    let mut add = |kind, name: &str, amounts: Amounts| own.entry((kind, name.to_owned())).or_default().add(amounts);
    for (index, ply) in build.lay_up.plies.iter().enumerate() {
        let is_core = stock.cores.contains_key(&ply.material);
        let (kind, kg) = if is_core { (NeedKind::Core, ply.core_kg) } else { (NeedKind::Reinforcement, ply.glass_kg) };
        let m = build.roll_m.get(index).copied().unwrap_or(0.0);
        add(kind, &ply.material, Amounts { kg, m2: ply.laid_m2, m, ..Amounts::default() });
    }
    for resin in &build.lay_up.resins {
        let density_g_ml = stock.resins.get(&resin.name).map_or(1.0, |resin| resin.liquid_density_g_ml.value);
        let kg = resin.resin_alone_kg;
        add(NeedKind::Resin, &resin.name, Amounts { kg, litres: kg / density_g_ml, ..Amounts::default() });
        add_dose(&mut add, &resin.name, resin.dose);
    }
    if let Some(gelcoat) = &build.lay_up.gelcoat {
        let density_g_cm3 = stock.gelcoats.get(&gelcoat.name).map_or(1.0, |gelcoat| gelcoat.density_g_cm3.value);
        let kg = gelcoat.alone_kg;
        add(NeedKind::Gelcoat, &gelcoat.name, Amounts { kg, litres: kg / density_g_cm3, ..Amounts::default() });
        add_dose(&mut add, &gelcoat.name, gelcoat.dose);
    }
    for &(name, ml) in &build.filler_ml {
        let kg = kg_from_g(ml * stock.fillers.get(name).map_or(1.0, |filler: &Filler| filler.density_g_cm3.value));
        add(NeedKind::Filler, name, Amounts { kg, litres: l_from_ml(ml), ..Amounts::default() });
        if let Some(percent) = stock.fillers.get(name).and_then(|filler| filler.hardener_percent.as_ref()) {
            let kg = kg * percent.value / 100.0;
            add(NeedKind::FillerHardener, "filler hardener", Amounts { kg, ..Amounts::default() });
        }
    }
    for (key, amounts) in own {
        shares.entry(key).or_default().push(Share {
            name: &build.name,
            count: build.count,
            amounts,
            cause: Cause::Plies,
        });
    }
}

fn add_dose(add: &mut impl FnMut(NeedKind, &str, Amounts), of: &str, dose: Option<Dose>) {
    let Some(dose) = dose else { return };
    let amounts = Amounts { kg: kg_from_g(dose.g), litres: l_from_ml(dose.ml), ..Amounts::default() };
    match dose.agent {
        Agent::Catalyst => add(NeedKind::Catalyst, "catalyst", amounts),
        Agent::Hardener => add(NeedKind::Hardener, of, amounts),
    }
}

/// Pieces to buy: whole ones. A hair over a whole number is what adding up leaves, and no further piece.
fn whole(pieces: f64) -> f64 {
    const HAIR: f64 = 1e-9;
    (pieces * (1.0 - HAIR)).ceil()
}

fn need(kind: NeedKind, material: String, shares: &[Share<'_>], stock: &Stock, extras: &Extras) -> Need {
    let of = |cause: Cause| {
        let mut sum = Amounts::default();
        shares.iter().filter(|share| share.cause == cause).for_each(|share| sum.add(share.amounts.times(share.count)));
        sum
    };
    let (of_plies, beyond, of_plugs) = (of(Cause::Plies), of(Cause::Beyond), of(Cause::Plug));
    let mut sum = of_plies;
    sum.add(beyond);
    sum.add(of_plugs);
    let reserve = reserve_of(kind, &stock.practice, extras);
    let reserve_percent = reserve.figure.map_or(0.0, |figure| figure.value);
    // What is bought comes off the roll, so that its mass is that of the metres and not that of what is laid.
    let roll = stock.reinforcements.get(&material).filter(|_| kind == NeedKind::Reinforcement).and_then(|glass| {
        let width_m = m_from_mm(glass.rolls.as_ref()?.first()?.width_mm.value);
        Some(RollOf { width_m, kg_m2: kg_m2_from_g_m2(glass.areal_weight_g_m2.value) })
    });
    let off_roll = roll.filter(|roll| roll.kg(sum.m) > sum.kg);
    let bought_kg = off_roll.map_or(sum.kg, |roll| roll.kg(sum.m));
    let spread = matches!(kind, NeedKind::Reinforcement | NeedKind::Core);
    let is_glass = kind == NeedKind::Reinforcement;
    // Of a lay-up's own kinds every measure is told, of the others what is known.
    let is_poured = kind <= NeedKind::Filler && !spread;
    let told = |amount: f64, always: bool| (always || amount > 0.0).then_some(amount);
    let more = |amount: Option<f64>| amount.map(|amount| with_reserve(amount, reserve_percent));
    let litres = told(sum.litres, is_poured);
    let m2 = told(sum.m2, spread);
    let m = told(sum.m, false).filter(|_| !is_glass);
    let roll_m = is_glass.then_some(sum.m);
    let pieces = told(sum.pieces, false);
    let mut need = Need {
        kind,
        material,
        measure: kind.measure(),
        kg: sum.kg,
        litres,
        m2,
        roll_m,
        m,
        pieces,
        of_plies,
        beyond,
        of_plugs,
        reserve_percent,
        reserve_why: reserve.why,
        kg_with_reserve: with_reserve(bought_kg, reserve_percent),
        litres_with_reserve: more(litres),
        roll_m_with_reserve: more(roll_m),
        m2_with_reserve: more(m2),
        m_with_reserve: more(m),
        pieces_with_reserve: more(pieces).map(whole),
        workings: Vec::new(),
    };
    need.workings = workings(&need, shares, off_roll);
    need
}

/// A roll that a reinforcement is cut from.
#[derive(Debug, Clone, Copy)]
struct RollOf {
    width_m: f64,
    kg_m2: f64,
}

impl RollOf {
    fn kg(self, roll_m: f64) -> f64 {
        roll_m * self.width_m * self.kg_m2
    }
}

/// The sums behind one line of the order: share upon share, then the reserve.
fn workings(need: &Need, shares: &[Share<'_>], off_roll: Option<RollOf>) -> Vec<Working> {
    let over = |of: &str, words: &'static str, result: f64, unit: &'static str, part: fn(&Amounts) -> f64| {
        let shares = shares.iter().filter(|share| part(&share.amounts) != 0.0);
        shares.fold(Working::of(of, words, result, unit), |sum, share| {
            sum.plus_times(share.count, part(&share.amounts), unit, share.name.to_owned())
        })
    };
    let reserve = with_reserve(1.0, need.reserve_percent);
    let with = |working: Working| working.times(reserve, "", format!("{} % reserve", need.reserve_percent));
    let bought = Working::of("kg_with_reserve", "mass to buy", need.kg_with_reserve, "kg");
    let bought = match (off_roll, need.roll_m) {
        (Some(roll), Some(roll_m)) => {
            bought.plus(roll_m, "m", "off the roll").times(roll.width_m, "m", "wide").times(roll.kg_m2, "kg/m2", "")
        }
        _ => bought.plus(need.kg, "kg", "laid"),
    };
    let litres = need.litres.zip(need.litres_with_reserve).into_iter().flat_map(|(litres, all)| {
        let bought = Working::of("litres_with_reserve", "volume to buy", all, "l").plus(litres, "l", "");
        [over("litres", "volume", litres, "l", |sum| sum.litres), with(bought)]
    });
    let metres = need.roll_m.zip(need.roll_m_with_reserve).into_iter().flat_map(|(roll_m, all)| {
        let bought = Working::of("roll_m_with_reserve", "metres to buy", all, "m").plus(roll_m, "m", "");
        [over("roll_m", "metres off the roll", roll_m, "m", |sum| sum.m), with(bought)]
    });
    let lengths = need.m.zip(need.m_with_reserve).into_iter().flat_map(|(m, all)| {
        let bought = Working::of("m_with_reserve", "metres to buy", all, "m").plus(m, "m", "");
        [over("m", "length", m, "m", |sum| sum.m), with(bought)]
    });
    let area = need.m2.map(|m2| over("m2", "area", m2, "m2", |sum| sum.m2));
    let area_bought = need
        .m2
        .zip(need.m2_with_reserve)
        .filter(|_| need.kind > NeedKind::Filler)
        .map(|(m2, all)| with(Working::of("m2_with_reserve", "area to buy", all, "m2").plus(m2, "m2", "")));
    // Whole pieces are rounded up from it, so that only what is needed has a sum.
    let pieces = need.pieces.map(|pieces| over("pieces", "pieces", pieces, "", |sum| sum.pieces));
    let mass = over("kg", "mass", need.kg, "kg", |sum| sum.kg);
    let mass_bought = (need.kg > 0.0 || need.kind <= NeedKind::Filler).then(|| with(bought));
    let all =
        [mass].into_iter().chain(area).chain(area_bought).chain(metres).chain(lengths).chain(litres).chain(pieces);
    all.chain(mass_bought).filter(|working| !working.terms.is_empty()).collect()
}

#[cfg(test)]
mod tests;
