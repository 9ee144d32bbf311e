//! The plug: filler, primer, paint, abrasive, wax and PVA from its skin, each as a range with what it rests on.

use super::bench::{Bench, Owner, figure};
use super::habits::{Extras, Plug, PlugPaint, PlugPrimer, PlugStuff};
use super::release::{pva, wax};
use super::seal::seal;
use super::{Amounts, Habits, Whose};
use crate::laminate::figure::{Figure, Spread};
use crate::laminate::schedule::Make;
use crate::laminate::stock::{Family, Stock};
use crate::laminate::workings::Working;
use crate::notes::Note;
use crate::units::{h_from_min, kg_from_g, l_from_ml, total};
use crate::workshop::days::pace::Pace;
use crate::workshop::needs::NeedKind;
use crate::workshop::work::PieceWork;

/// One thing that one plug takes.
#[derive(Debug, Clone, PartialEq)]
pub struct PlugLine {
    /// What it is.
    pub what: String,
    /// Least, likely and most.
    pub amount: Spread,
    /// Unit of the amount.
    pub unit: &'static str,
    /// What the range rests on.
    pub rests_on: String,
    /// The sum behind the likely amount.
    pub working: Working,
}

/// The plugs of one panel. Figures stand for one.
#[derive(Debug, Clone, PartialEq)]
pub struct PlugWork {
    /// Number of the part.
    pub part: usize,
    /// Name of the panel.
    pub name: String,
    /// What the plug is made of, if the job says it.
    pub made_of: Option<PlugStuff>,
    /// How many there are: one for each hand.
    pub count: u32,
    /// Skin of one, in m2, openings that are laid across among it.
    pub skin_m2: f64,
    /// Flanges laid beside it, in m2; they are waxed too.
    pub flange_m2: f64,
    /// What one takes.
    pub lines: Vec<PlugLine>,
}

/// What a litre covers in one coat, in m2: `10 x solids by volume (percent) / dry film (thousandths of a mm)`.
///
/// In theory: nothing is left in the tin and nothing is lost. A litre of 50 % solids is half a litre of film, which at
/// 0.05 mm is 10 m2.
#[must_use]
pub fn spread_m2_l(solids_percent: f64, film_um: f64) -> f64 {
    10.0 * solids_percent / film_um
}

pub(super) fn plug(bench: &mut Bench<'_>, pieces: &[PieceWork], plug: &Plug, habits: Habits<'_>) {
    let mould: Vec<&PieceWork> = pieces.iter().filter(|piece| piece.make == Make::Mould).collect();
    let Some(first) = mould.first() else { return };
    let part = first.place.part;
    let work = PlugWork {
        part,
        name: first.part.clone(),
        made_of: plug.made_of,
        count: first.n_hands,
        skin_m2: total(mould.iter().map(|piece| piece.face_m2())),
        flange_m2: total(mould.iter().map(|piece| piece.flange_m2)),
        lines: Vec::new(),
    };
    let owner = Owner { of: Whose::Plug(part), name: format!("{}, plug", first.part), count: work.count };
    let Habits { extras, pace, plug: of_job, .. } = habits;
    let mut on = OnPlug { bench, owner, habits: plug, of_job, pace, work };
    on.seal();
    on.filler();
    on.primer();
    on.paint();
    on.polish();
    on.abrasive();
    on.release(extras);
    let work = on.work;
    warn(bench, &mould, plug);
    bench.taken.plugs.push(work);
}

/// What an offcut of a plug's stuff takes up to its paint: as the plug does, but for the polish.
pub(super) fn offcut(bench: &mut Bench<'_>, owner: &Owner, plug: &Plug, m2: f64, habits: Habits<'_>) {
    let work = PlugWork {
        part: 0,
        name: owner.name.clone(),
        made_of: plug.made_of,
        count: owner.count,
        skin_m2: m2,
        flange_m2: 0.0,
        lines: Vec::new(),
    };
    let Habits { pace, plug: of_job, .. } = habits;
    let mut on = OnPlug { bench, owner: owner.clone(), habits: plug, of_job, pace, work };
    on.seal();
    on.filler();
    on.primer();
    on.paint();
    on.abrasive();
}

struct OnPlug<'b, 'a> {
    bench: &'b mut Bench<'a>,
    owner: Owner,
    habits: &'b Plug,
    of_job: &'b Plug,
    pace: &'b Pace,
    work: PlugWork,
}

impl OnPlug<'_, '_> {
    fn line(&mut self, what: &str, amount: Spread, unit: &'static str, rests_on: &str, working: Working) {
        let (what, rests_on) = (what.to_owned(), rests_on.to_owned());
        self.work.lines.push(PlugLine { what, amount, unit, rests_on, working });
    }

    /// A figure of the job's plugs, or one of this panel's own.
    fn uses(&mut self, field: &str, figure: &Figure) -> Spread {
        let is_of_job = self.of_job.figures().iter().any(|named| named.field == field && named.figure == figure);
        let of = if is_of_job { "plug" } else { &self.owner.name };
        self.bench.uses(of, field, figure, &self.owner.name)
    }

    /// Styrene dissolves polystyrene foam, and the filler holds styrene, whatever is laid on the plug later.
    fn seal(&mut self) {
        if self.habits.made_of == Some(PlugStuff::FoamPolystyrene) {
            let coat = self.uses("seal_coat_kg_m2", &self.habits.seal_coat_kg_m2);
            let lines = seal(self.bench, &self.owner, self.work.skin_m2, coat, self.habits);
            self.work.lines.extend(lines);
        }
    }

    fn filler(&mut self) {
        let habits = self.habits;
        let (field, depth) = match (&habits.filler_mm, habits.made_of) {
            (Some(own), _) => ("filler_mm", own),
            (None, Some(PlugStuff::Timber)) => ("filler_timber_mm", &habits.filler_timber_mm),
            (None, Some(PlugStuff::Plaster)) => ("filler_plaster_mm", &habits.filler_plaster_mm),
            (None, Some(PlugStuff::FillerOnBoard)) => ("filler_board_mm", &habits.filler_board_mm),
            // Foam takes most, so it stands for what is not told.
            (None, _) => ("filler_foam_mm", &habits.filler_foam_mm),
        };
        let depth_mm = self.uses(field, depth);
        let density = self.uses("filler_density_g_cm3", &habits.filler_density_g_cm3);
        let percent = self.uses("filler_hardener_percent", &habits.filler_hardener_percent);
        let m2 = self.work.skin_m2;
        // 1 mm over 1 m2 is a litre.
        let litres = depth_mm.map(|mm| m2 * mm);
        let kg = Spread {
            low: litres.low * density.low,
            likely: litres.likely * density.likely,
            high: litres.high * density.high,
        };
        let hardener_kg = Spread {
            low: kg.low * percent.low / 100.0,
            likely: kg.likely * percent.likely / 100.0,
            high: kg.high * percent.high / 100.0,
        };
        let volume = Working::of("litres", "filler", litres.likely, "l").plus(m2, "m2", "skin").times(
            depth_mm.likely,
            "mm",
            "deep",
        );
        let mass = Working { of: "kg".to_owned(), result: kg.likely, unit: "kg", ..volume.clone() };
        let mass = mass.times(density.likely, "g/cm3", "its density");
        let hardener = Working::of("kg", "filler hardener", hardener_kg.likely, "kg")
            .plus(kg.likely, "kg", "filler")
            .times(percent.likely, "%", "")
            .over(100.0, "", "");
        let amounts = Amounts { kg: kg.likely, litres: litres.likely, ..Amounts::default() };
        self.bench.take(&self.owner, "filler", NeedKind::PlugFiller, "plug filler", amounts, mass.clone());
        let amounts = Amounts { kg: hardener_kg.likely, ..Amounts::default() };
        let (kind, sum) = (NeedKind::FillerHardener, hardener.clone());
        self.bench.take(&self.owner, "filler", kind, "filler hardener", amounts, sum);
        const BY_HAND: &str = "stirred on a board, as much as is struck off before it sets";
        let n = f64::from(self.owner.count);
        self.bench.unmixed(NeedKind::PlugFiller, "plug filler", n * kg.likely, BY_HAND);
        self.bench.unmixed(NeedKind::FillerHardener, "filler hardener", n * hardener_kg.likely, BY_HAND);
        let rests = format!("mean depth over the skin, with what is sanded off: {}", depth.source);
        self.line("filler", litres, "l", &rests, volume);
        self.line("filler", kg, "kg", &rests, mass);
        self.line("filler hardener", hardener_kg, "kg", &habits.filler_hardener_percent.source, hardener);
        let pass_mm = self.uses("filler_pass_mm", &habits.filler_pass_mm);
        let n = Spread {
            low: (depth_mm.low / pass_mm.high).ceil(),
            likely: (depth_mm.likely / pass_mm.likely).ceil(),
            high: (depth_mm.high / pass_mm.low).ceil(),
        };
        let sum = Working::of("passes", "passes of filler", n.likely, "").plus(n.likely, "", "whole passes");
        self.line("passes of filler", n, "", &habits.filler_pass_mm.source, sum);
    }

    fn primer(&mut self) {
        let habits = self.habits;
        let theory = [&habits.primer_solids_percent, &habits.primer_film_um];
        let fields = ["prime_coats", "primer_m2_l", "primer_solids_percent", "primer_film_um"];
        self.coats("primer", NeedKind::Primer, fields, [&self.pace.prime_coats, &habits.primer_m2_l], theory);
    }

    fn paint(&mut self) {
        let habits = self.habits;
        let theory = [&habits.paint_solids_percent, &habits.paint_film_um];
        let fields = ["paint_coats", "paint_m2_l", "paint_solids_percent", "paint_film_um"];
        self.coats("paint", NeedKind::Paint, fields, [&self.pace.paint_coats, &habits.paint_m2_l], theory);
    }

    /// Paint is flatted and polished; where there is none there is nothing to polish.
    fn polish(&mut self) {
        if self.pace.paint_coats.value <= 0.0 {
            return;
        }
        let habits = self.habits;
        let m2 = self.work.skin_m2;
        let g_m2 = self.uses("polish_g_m2", &habits.polish_g_m2);
        let kg = g_m2.map(|g_m2| m2 * kg_from_g(g_m2));
        let what = "polishing compound";
        let sum =
            Working::of("kg", what, kg.likely, "kg").plus(m2, "m2", "skin").times(kg_from_g(g_m2.likely), "kg/m2", "");
        let amounts = Amounts { kg: kg.likely, ..Amounts::default() };
        self.bench.take(&self.owner, "polish", NeedKind::Polish, what, amounts, sum.clone());
        self.line(what, kg, "kg", &habits.polish_g_m2.source, sum);
    }

    /// Litres for so many coats: by what a litre covers, or in theory by solids and film where the job gives both.
    fn coats(
        &mut self,
        what: &'static str,
        kind: NeedKind,
        fields: [&str; 4],
        [coats, coverage]: [&Figure; 2],
        theory: [&Option<Figure>; 2],
    ) {
        let m2 = self.work.skin_m2;
        let n = self.bench.uses("days", fields[0], coats, &self.owner.name);
        let sum = Working::of("litres", what, 0.0, "l").plus(m2, "m2", "skin").times(n.likely, "", "coats");
        let (m2_l, mut sum, rests_on) = match theory {
            [Some(solids), Some(film)] => {
                let (solids_percent, film_um) = (self.uses(fields[2], solids), self.uses(fields[3], film));
                let m2_l = Spread {
                    low: spread_m2_l(solids_percent.low, film_um.high),
                    likely: spread_m2_l(solids_percent.likely, film_um.likely),
                    high: spread_m2_l(solids_percent.high, film_um.low),
                };
                let sum = sum.times(film_um.likely, "µm", "film").over(10.0, "", "").over(
                    solids_percent.likely,
                    "%",
                    "solids",
                );
                (m2_l, sum, "solids and film of the job, nothing lost".to_owned())
            }
            _ => {
                let m2_l = self.uses(fields[1], coverage);
                (
                    m2_l,
                    sum.over(m2_l.likely, "m2/l", "cover of one coat"),
                    format!("{}; {}", coats.source, coverage.source),
                )
            }
        };
        let litres =
            Spread { low: m2 * n.low / m2_l.high, likely: m2 * n.likely / m2_l.likely, high: m2 * n.high / m2_l.low };
        sum.result = litres.likely;
        let amounts = Amounts { litres: litres.likely, ..Amounts::default() };
        self.bench.take(&self.owner, what, kind, &format!("plug {what}"), amounts, sum.clone());
        self.line(what, litres, "l", &rests_on, sum);
    }

    fn abrasive(&mut self) {
        let habits = self.habits;
        let m2 = self.work.skin_m2;
        for &grade in &habits.grades {
            let (field, figure) = match grade {
                0..=120 => ("abrasive_coarse_sheets_per_m2", &habits.abrasive_coarse_sheets_per_m2),
                121..=320 => ("abrasive_middle_sheets_per_m2", &habits.abrasive_middle_sheets_per_m2),
                _ => ("abrasive_fine_sheets_per_m2", &habits.abrasive_fine_sheets_per_m2),
            };
            let per_m2 = self.uses(field, figure);
            let sheets = per_m2.map(|per_m2| m2 * per_m2);
            let sum = Working::of("pieces", "sheets", sheets.likely, "").plus(m2, "m2", "").times(
                per_m2.likely,
                "per m2",
                "",
            );
            let amounts = Amounts { pieces: sheets.likely, ..Amounts::default() };
            let name = format!("abrasive P{grade}");
            self.bench.take(&self.owner, "abrasive", NeedKind::Abrasive, &name, amounts, sum.clone());
            self.line(&name, sheets, "sheets", &figure.source, sum);
        }
    }

    fn release(&mut self, extras: &Extras) {
        let m2 = self.work.skin_m2 + self.work.flange_m2;
        let place = self.owner.name.clone();
        let coats = figure!(self.bench, "days", self.pace, wax_coats_new, place);
        let g_m2 = figure!(self.bench, "extras", extras, wax_g_m2, place);
        let wait_h = figure!(self.bench, "days", self.pace, wax_wait_min, place).map(h_from_min);
        wax(self.bench, &self.owner, "wax on the new plug", m2, coats.likely, g_m2.likely);
        pva(self.bench, &self.owner, "PVA on the new plug", m2, extras);
        let n = Working::of("coats", "coats of wax", coats.likely, "").plus(coats.likely, "", "");
        self.line("coats of wax", coats, "", &self.pace.wax_coats_new.source, n);
        let both = |a: Spread, b: Spread, factor: f64| Spread {
            low: factor * a.low * b.low,
            likely: factor * a.likely * b.likely,
            high: factor * a.high * b.high,
        };
        let hours = both(coats, wait_h, 1.0);
        let sum =
            Working::of("h", "waits", hours.likely, "h").plus(coats.likely, "", "coats").times(wait_h.likely, "h", "");
        self.line("waits between and after coats of wax", hours, "h", &self.pace.wax_wait_min.source, sum);
        let wax_kg = both(coats, g_m2, kg_from_g(m2));
        let sum = Working::of("kg", "wax", wax_kg.likely, "kg")
            .plus(m2, "m2", "skin and flanges")
            .times(coats.likely, "", "coats")
            .times(kg_from_g(g_m2.likely), "kg/m2", "a coat");
        self.line("release wax", wax_kg, "kg", &extras.wax_g_m2.source, sum);
        let ml_m2 = extras.pva_ml_m2.spread();
        let litres = ml_m2.map(|ml_m2| m2 * l_from_ml(ml_m2));
        let sum = Working::of("litres", "PVA", litres.likely, "l").plus(m2, "m2", "").times(
            l_from_ml(ml_m2.likely),
            "l/m2",
            "",
        );
        self.line("PVA release", litres, "l", &extras.pva_ml_m2.source, sum);
    }
}

/// What must not touch what.
fn warn(bench: &mut Bench<'_>, mould: &[&PieceWork], plug: &Plug) {
    let Some(first) = mould.first() else { return };
    let at = (first.place.part, first.place.build);
    let has_styrene = mould.iter().any(|piece| brings_styrene(piece, bench.stock));
    let mut notes = Vec::new();
    match plug.made_of {
        Some(PlugStuff::FoamPolystyrene) => notes.push(Note::warning(
            "polystyrene-plug",
            if has_styrene {
                "the plug is of polystyrene foam and the mould is laid in polyester or vinyl ester: its styrene dissolves the foam, and so does polyester filler"
            } else {
                "the plug is of polystyrene foam: the styrene in polyester filler dissolves it"
            },
            "seal the foam first with a skin of epoxy and glass, without a pinhole, as the order and the days have it; then fill, prime and paint, and lay a test patch of the whole stack",
        )),
        Some(PlugStuff::FoamPolyurethane) => notes.push(Note::warning(
            "hot-wire",
            "the plug is of polyurethane foam: under a hot wire it gives off poisonous gas",
            "saw, rasp and sand it, with a dust mask and extraction; never cut it with a hot wire",
        )),
        _ => {}
    }
    if plug.paint == Some(PlugPaint::OnePack) && has_styrene {
        notes.push(Note::warning(
            "one-pack-paint",
            "the plug is painted with a one-pack paint: styrene lifts it through wax, and it wrinkles under the gelcoat",
            "paint it two-pack and let the paint cure through before the wax; isocyanate in sprayed two-pack paint needs an air-fed mask",
        ));
    }
    if plug.primer == Some(PlugPrimer::Epoxy) {
        notes.push(Note::warning(
            "epoxy-primer",
            "the plug has an epoxy primer: under-cured, it keeps gelcoat from curing",
            "let it cure for its full time at the maker's temperature, cover it with the paint, and lay a test patch of the whole stack",
        ));
    }
    bench.taken.build_notes.extend(notes.into_iter().map(|note| (at, note)));
}

fn brings_styrene(piece: &PieceWork, stock: &Stock) -> bool {
    let of_resin = |name: &str| stock.resins.get(name).map(|resin| resin.family);
    let of_gelcoat = |name: &str| stock.gelcoats.get(name).map(|gelcoat| gelcoat.family);
    let gelcoat = piece.gelcoat.as_ref().and_then(|gelcoat| of_gelcoat(&gelcoat.name));
    let mut families = piece.plies.iter().filter_map(|ply| of_resin(&ply.resin)).chain(gelcoat);
    families.any(|family| family != Family::Epoxy)
}

/// Notes on all plugs together.
pub(super) fn notes(bench: &mut Bench<'_>) {
    let plugs = &bench.taken.plugs;
    if plugs.is_empty() {
        return;
    }
    let untold: Vec<&str> = plugs.iter().filter(|plug| plug.made_of.is_none()).map(|plug| plug.name.as_str()).collect();
    let mut notes = Vec::new();
    if !untold.is_empty() {
        let plugs = if untold.len() == 1 { "the plug is" } else { "the plugs are" };
        notes.push(Note::info(
            "plug-not-told",
            format!(
                "the job does not say what {plugs} made of ({}): filler is reckoned as for rough foam, which takes most, and nothing is checked of what may not touch it (polyester dissolves polystyrene foam, styrene lifts one-pack paint, under-cured epoxy primer keeps gelcoat from curing)",
                untold.join(", ")
            ),
            "write `made_of` under [plug] or [part.plug]: foam-polystyrene, foam-polyurethane, timber, plaster, filler-on-board or other; `paint` and `primer` too",
        ));
    }
    notes.push(Note::info(
        "test-patch",
        "before wax goes on a plug: what it is made of, filler, primer, paint, wax, gelcoat and first ply are tried together on a patch",
        "make the patch of the same materials and cure times, and lay nothing on the plug until it has come off clean",
    ));
    bench.taken.notes.extend(notes);
}
