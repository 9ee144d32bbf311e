//! Where the takes are written down: each amount with its sum, each figure with where it was used.

use super::{Amounts, FinishedLine, Measure, Mixed, Take, Taken, Unmixed, UsedHere, WetOn, Whose};
use crate::laminate::cure::{Agent, Dose};
use crate::laminate::figure::{Figure, Spread};
use crate::laminate::ply::wet_ply;
use crate::laminate::stock::Stock;
use crate::laminate::workings::{Op, Working};
use crate::units::{kg_from_g, l_from_ml, m_from_mm};
use crate::workshop::mixes::recipe::MixKind;
use crate::workshop::needs::NeedKind;
use crate::workshop::work::{PieceWork, PlyWork};

/// The stock and what has been written down so far.
pub(super) struct Bench<'a> {
    pub stock: &'a Stock,
    pub taken: Taken,
}

/// Whose a take is: its place, its name for lists, how many are built.
#[derive(Debug, Clone)]
pub(super) struct Owner {
    pub of: Whose,
    pub name: String,
    pub count: u32,
}

impl Owner {
    pub fn of_piece(piece: &PieceWork) -> Self {
        Self { of: Whose::Piece(piece.place), name: piece.name(), count: piece.count }
    }

    /// The build of a piece, whichever piece it is.
    pub fn of_build(piece: &PieceWork) -> Self {
        let name = format!("{}, {}", piece.part, piece.make.word());
        Self { of: Whose::Piece(piece.place), name, count: piece.count }
    }

    pub fn job() -> Self {
        Self { of: Whose::Job, name: "the job".to_owned(), count: 1 }
    }
}

/// Glass wetted out: what it weighs.
pub(super) struct Wetted {
    pub kg: Spread,
    pub working: Working,
}

/// What is laid of a resin, in kg, and over what area it is brushed.
#[derive(Debug, Clone, Copy)]
struct Laid {
    mix_kg: f64,
    alone_kg: f64,
    glass_kg: f64,
    brushed_m2: f64,
}

/// Enters a figure of a table of habits by its field and gives its low, likely and high.
macro_rules! figure {
    ($bench:expr, $table:literal, $habits:expr, $field:ident, $place:expr) => {
        $bench.uses($table, stringify!($field), &$habits.$field, &$place)
    };
}
pub(super) use figure;

impl Bench<'_> {
    /// Notes that a figure was used, and gives it.
    pub fn uses(&mut self, of: &str, field: &str, figure: &Figure, place: &str) -> Spread {
        let (of, field, place) = (of.to_owned(), field.to_owned(), place.to_owned());
        let here = UsedHere { of, field, figure: figure.clone(), place };
        if !self.taken.figures.contains(&here) {
            self.taken.figures.push(here);
        }
        figure.spread()
    }

    /// Notes that the job gives a figure itself, and gives it.
    pub fn given(&mut self, key: &str, value: f64, place: &str) -> f64 {
        self.uses(place, key, &Figure::given(value), place).likely
    }

    /// Writes one take down; nothing is nothing.
    pub fn take(&mut self, owner: &Owner, why: &str, kind: NeedKind, material: &str, amounts: Amounts, sum: Working) {
        if amounts != Amounts::default() {
            let name = format!("{}: {why}", owner.name);
            let material = material.to_owned();
            let Owner { of, count, .. } = *owner;
            self.taken.takes.push(Take { kind, material, amounts, of, name, count, working: sum });
        }
    }

    /// A take that is known by one measure alone, from a working of it.
    pub fn take_by(&mut self, owner: &Owner, why: &str, kind: NeedKind, material: &str, by: Measure, sum: Working) {
        self.take(owner, why, kind, material, Amounts::by(by, sum.result), sum);
    }

    pub fn line(&mut self, piece: &PieceWork, what: String, kg: Spread, working: Working) {
        let key = (piece.place.part, piece.place.build);
        self.taken.finished.entry(key).or_default().push(FinishedLine { what, kg, working });
    }

    /// What is laid on the build of a piece while it is wet.
    pub fn wet_on(&mut self, piece: &PieceWork) -> &mut WetOn {
        self.taken.wet_on.entry((piece.place.part, piece.place.build)).or_default()
    }

    /// Writes down that a liquid is stirred up: into the mix for the same thing, if there is one already.
    pub fn mixed(&mut self, mixed: Mixed) {
        if mixed.alone_kg <= 0.0 {
            return;
        }
        let key = |of: &Mixed| (of.kind, of.material.clone(), of.of, of.why.clone());
        match self.taken.mixed.iter_mut().find(|known| key(known) == key(&mixed)) {
            Some(known) => {
                known.need_kg += mixed.need_kg;
                known.alone_kg += mixed.alone_kg;
                known.glass_kg += mixed.glass_kg;
                known.brushed_m2 += mixed.brushed_m2;
                known.planned_g += mixed.planned_g;
                known.also.extend(mixed.also);
            }
            None => self.taken.mixed.push(mixed),
        }
    }

    /// Writes down that no mix holds some of a liquid.
    pub fn unmixed(&mut self, kind: NeedKind, material: &str, kg: f64, why: &str) {
        if kg > 0.0 {
            self.taken.unmixed.push(Unmixed { kind, material: material.to_owned(), kg, why: why.to_owned() });
        }
    }

    /// What makes a quantity of a resin go off: in the share in which the piece's own plies have it.
    fn dose(&mut self, owner: &Owner, why: &str, resin: &str, mix_kg: f64, like: &PlyWork) {
        let Some(dose) = like.dose.filter(|_| like.resin_kg > 0.0) else { return };
        self.take_dose(owner, why, resin, mix_kg / like.resin_kg, mix_kg, dose);
    }

    /// Resin in a piece's own share, as it is stirred up.
    fn mixed_resin(&mut self, owner: &Owner, piece: &PieceWork, why: &str, of: Laid, like: &PlyWork) {
        let dose_g = like.dose.filter(|_| like.resin_kg > 0.0).map_or(0.0, |dose| dose.g / like.resin_kg);
        self.mixed(Mixed {
            kind: MixKind::Resin,
            material: like.resin.clone(),
            of: piece.place,
            why: why.to_owned(),
            count: owner.count,
            need_kg: of.mix_kg,
            alone_kg: of.alone_kg,
            glass_kg: of.glass_kg,
            brushed_m2: of.brushed_m2,
            planned_g: of.mix_kg * dose_g,
            recipe: None,
            also: Vec::new(),
        });
    }

    pub fn take_dose(&mut self, owner: &Owner, why: &str, of: &str, share: f64, of_kg: f64, dose: Dose) {
        let kg = share * kg_from_g(dose.g);
        let amounts = Amounts { kg, litres: share * l_from_ml(dose.ml), ..Amounts::default() };
        let (kind, material) = match dose.agent {
            Agent::Catalyst => (NeedKind::Catalyst, "catalyst"),
            Agent::Hardener => (NeedKind::Hardener, of),
        };
        let in_resin = if of_kg > 0.0 { kg / of_kg } else { 0.0 };
        let sum =
            Working::of("kg", "catalyst or hardener", kg, "kg").plus(of_kg, "kg", "").times(in_resin, "", "share");
        self.take(owner, why, kind, material, amounts, sum);
    }

    /// Lays so much of a reinforcement in the piece's own resin: glass, resin and what makes it go off. `area` is the sum
    /// behind the area. Nothing for a material that is not in the stock, which a job that was read does not name.
    pub fn wet(
        &mut self,
        owner: &Owner,
        piece: &PieceWork,
        why: &str,
        material: &str,
        area: &Working,
    ) -> Option<Wetted> {
        let like = last_glass(piece)?.clone();
        self.wet_like(owner, piece, why, material, area, &like)
    }

    /// The same in the resin of one ply of the piece.
    pub fn wet_like(
        &mut self,
        owner: &Owner,
        piece: &PieceWork,
        why: &str,
        material: &str,
        area: &Working,
        like: &PlyWork,
    ) -> Option<Wetted> {
        let glass = self.stock.reinforcements.get(material)?;
        let resin = self.stock.resins.get(&like.resin)?;
        let m2 = area.result;
        let per_m2 = wet_ply(glass, resin);
        let kg_m2 = per_m2.glass_kg_m2;
        let width_m = glass.rolls.as_ref().and_then(|rolls| rolls.first()).map(|roll| m_from_mm(roll.width_mm.value));
        let m = width_m.map_or(0.0, |width_m| m2 / width_m);
        let (glass_kg, mix_kg) = (m2 * kg_m2, m2 * per_m2.resin_kg_m2.likely);
        let alone_kg = mix_kg * alone_of(like);
        let litres = alone_kg / resin.liquid_density_g_ml.value;
        let sum = |words, result, factor, what| on_area(area, words, result).times(factor, "kg/m2", what);
        let glass_sum = sum("glass", glass_kg, kg_m2, "glass");
        let amounts = Amounts { kg: glass_kg, m2, m, ..Amounts::default() };
        self.take(owner, why, NeedKind::Reinforcement, material, amounts, glass_sum);
        let resin_sum = sum("resin", alone_kg, per_m2.resin_kg_m2.likely * alone_of(like), "resin");
        let amounts = Amounts { kg: alone_kg, litres, ..Amounts::default() };
        self.take(owner, why, NeedKind::Resin, &like.resin, amounts, resin_sum);
        self.dose(owner, why, &like.resin, mix_kg, like);
        let of = Laid { mix_kg, alone_kg, glass_kg, brushed_m2: 0.0 };
        self.mixed_resin(owner, piece, why, of, like);
        let kg = per_m2.resin_kg_m2.map(|resin| m2 * (kg_m2 + resin));
        let working = Working::of("kg", "glass and resin", kg.likely, "kg")
            .plus(m2, "m2", "")
            .times(kg_m2, "kg/m2", "glass")
            .plus(m2, "m2", "")
            .times(per_m2.resin_kg_m2.likely, "kg/m2", "resin");
        Some(Wetted { kg, working })
    }

    /// A coat of the piece's own resin.
    pub fn coat(&mut self, owner: &Owner, piece: &PieceWork, why: &str, m2: f64, kg_m2: Spread) -> Option<Wetted> {
        let like = last_glass(piece)?.clone();
        let resin = self.stock.resins.get(&like.resin)?;
        let mix_kg = m2 * kg_m2.likely;
        let alone_kg = mix_kg * alone_of(&like);
        let working = Working::of("kg", "resin", mix_kg, "kg").plus(m2, "m2", "").times(kg_m2.likely, "kg/m2", "");
        let litres = alone_kg / resin.liquid_density_g_ml.value;
        let amounts = Amounts { kg: alone_kg, litres, ..Amounts::default() };
        let sum = Working { result: alone_kg, ..working.clone() }.times(alone_of(&like), "", "resin in the mix");
        self.take(owner, why, NeedKind::Resin, &like.resin, amounts, sum);
        self.dose(owner, why, &like.resin, mix_kg, &like);
        let of = Laid { mix_kg, alone_kg, glass_kg: 0.0, brushed_m2: m2 };
        self.mixed_resin(owner, piece, why, of, &like);
        Some(Wetted { kg: kg_m2.map(|kg_m2| m2 * kg_m2), working })
    }
}

/// The resin's share of a ply's mix: less than 1 for an epoxy.
fn alone_of(ply: &PlyWork) -> f64 {
    if ply.resin_kg > 0.0 { ply.resin_alone_kg / ply.resin_kg } else { 1.0 }
}

/// A sum in kg that begins with an area: with its own factors, if it is a plain product.
fn on_area(area: &Working, words: &'static str, kg: f64) -> Working {
    let sum = Working::of("kg", words, kg, "kg");
    let is_product = area.terms.iter().skip(1).all(|term| matches!(term.op, Op::Times | Op::Over));
    if is_product { sum.then(&area.terms) } else { sum.plus(area.result, "m2", "") }
}

/// The last ply of glass that lies everywhere: its material and resin are taken for what is laid over it.
pub(super) fn last_glass(piece: &PieceWork) -> Option<&PlyWork> {
    let glass = |ply: &&PlyWork| !ply.is_core && ply.glass_kg > 0.0;
    let everywhere = piece.plies.iter().rev().filter(glass).find(|ply| ply.is_everywhere);
    everywhere.or_else(|| piece.plies.iter().rev().find(glass))
}
