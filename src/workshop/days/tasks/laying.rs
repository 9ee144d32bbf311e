//! Laying one piece: glass cut, gelcoat, putty, stages of plies, trimming.

use super::super::task::{Air, Counted, Kind, Link, Most, Task, Why};
use super::build::{Amount, Builder, On, done, hours, right_after, wait, within};
use super::plug::coat_words;
use crate::laminate::schedule::Make;
use crate::laminate::stages::{Stage, StageEnd};
use crate::laminate::stock::Family;
use crate::units::m_from_mm;
use crate::workshop::mixes::shop_c;
use crate::workshop::work::{GelcoatWork, PieceWork, PlyWork};

/// No dust on wet resin for so long.
const STILL_MIN: u32 = 120;
/// Putty firms for so long before a ply is drawn over it.
const PUTTY_MIN: u32 = 15;

/// Fixings go on within so many minutes of cleaning up after the last ply, while that is wet. Common practice, no source.
const WET_MOST_MIN: u32 = 15;

/// What follows a laid piece waits for these.
#[derive(Debug, Clone, Copy)]
pub(super) struct Laid {
    /// The last stage, or what was put on last.
    pub last: usize,
    /// Trimming.
    pub trim: Option<usize>,
    /// The coat on the inner face.
    pub coat: Option<usize>,
}

impl Laid {
    /// Cured for so many minutes, and trimmed.
    pub fn cured(&self, least_min: u32, why: Why) -> Vec<Link> {
        let trimmed = self.trim.map(done);
        let coated = self.coat.map(|coat| wait(coat, least_min, why));
        [wait(self.last, least_min, why)].into_iter().chain(trimmed).chain(coated).collect()
    }
}

impl Builder<'_> {
    /// Lays a piece on a tool that is ready. `ready` is what the first coat waits for, `also` what all of it waits for.
    pub fn lay_up(&mut self, on: &On, piece: &PieceWork, ready: Link, mut also: Vec<Link>) -> Laid {
        let first = self.habits.pace.first_ply_rest_h.value;
        let mut last = ready.from;
        let mut link = ready;
        let large = self.large(piece).then_some(self.group() * 64 + piece.place.piece.min(63));
        if let Some(gelcoat) = &piece.gelcoat {
            (last, link) = self.gelcoat(on, gelcoat, link, &mut also, large);
            if !piece.putty_ml.is_empty() && piece.corner_mm > 0.0 {
                let metres = m_from_mm(piece.corner_mm);
                let amount = Amount::at_rate(metres, "m", self.habits.pace.putty_m_h.value).and(self.wet_min() / 2.0);
                let putty = self.add(
                    on,
                    Kind::Putty,
                    "putty",
                    "putty along the corners that mat does not follow",
                    amount,
                    vec![link],
                );
                self.task(putty).air = Air::Still(STILL_MIN);
                also.push(wait(putty, PUTTY_MIN, Why::PuttyFirms));
                last = putty;
            }
            if self.is_epoxy_on_polyester(piece, gelcoat) {
                (last, link) = self.keyed_for_epoxy(on, piece, &[link.from, last]);
                also.clear();
            }
        }
        let stages: Vec<&Stage> = piece.stages.iter().filter(|stage| laid_kg(piece, stage) > 0.0).collect();
        for (index, stage) in stages.iter().enumerate() {
            if index > 0 {
                let rest_h = if index == 1 && piece.gelcoat.is_some() && piece.make == Make::Mould {
                    first
                } else {
                    self.habits.pace.stage_rest_h.value
                };
                link = self.next_stage(on, piece, stages[index - 1], last, rest_h);
            }
            let mut after = vec![link];
            after.append(&mut also);
            last = self.stage(on, piece, stage, stages.len(), after, large);
            if link.most.is_some_and(|most| most.mended) {
                let rested = wait(link.from, link.least_min, Why::StageRests);
                let number = stage.stage;
                let abrade = self.abrading(on, piece, &number.to_string(), abrade_words(number), rested, last);
                self.task(last).fallback = Some(Box::new(abrade));
            }
        }
        let is_laid = last != ready.from;
        last = if is_laid { self.fixings(on, piece, last, large) } else { last };
        let coat = if is_laid { self.coat(on, piece, last) } else { None };
        Laid { last, trim: self.trim(on, piece, last), coat }
    }

    /// Plates, pads, doublers and peel ply, on the first piece of a moulding while its last plies are wet; gives what was laid
    /// last.
    fn fixings(&mut self, on: &On, piece: &PieceWork, last: usize, large: Option<usize>) -> usize {
        let extra = self.extra(piece.place);
        if piece.make == Make::Mould || piece.place.piece > 0 || (extra.n_fixings == 0 && extra.peel_ply_m2 <= 0.0) {
            return last;
        }
        let pace = self.habits.pace;
        let laid_min = 60.0 * (extra.fixings_m2 + extra.peel_ply_m2) / pace.ply_m2_h.value;
        let n = f64::from(extra.n_fixings);
        let (quantity, unit) = if extra.n_fixings > 0 { (n, "fixings") } else { (extra.peel_ply_m2, "m2") };
        let amount = Amount::taking(quantity, unit, n * pace.fixing_min.value + laid_min);
        let words = match (extra.n_fixings > 0, extra.peel_ply_m2 > 0.0) {
            (true, true) => {
                "bed the fixings in the wet plies, their doublers over them, and peel ply where it is bonded"
            }
            (true, false) => "bed the fixings in the wet plies, their doublers over them",
            (false, _) => "peel ply on what is bonded later, while the last ply is wet",
        };
        let link = within(last, 0, WET_MOST_MIN, Counted::EndToStart, Why::Wet);
        let number = self.add(on, Kind::Fixings, "fixings", words, amount, vec![link]);
        let task = self.task(number);
        (task.air, task.large) = (Air::Still(STILL_MIN), large);
        number
    }

    /// The inner face of a moulding in one piece: within the overlay window of its last ply, or after abrading. Pieces that are
    /// joined are coated after that.
    fn coat(&mut self, on: &On, piece: &PieceWork, last: usize) -> Option<usize> {
        let extra = self.extra(piece.place);
        let coat = extra.coat.filter(|_| piece.make == Make::Moulding && extra.joints.is_empty())?;
        let pace = self.habits.pace;
        let most = Most { minutes: hours(pace.stage_most_h.value), counted: Counted::StartToEnd, mended: true };
        let rest_min = hours(pace.stage_rest_h.value);
        let link = Link { from: last, least_min: rest_min, most: Some(most), why: Why::StageRests };
        let number = self.inner_coat(on, coat, (piece.area_m2 - extra.peel_ply_m2).max(0.0), link);
        let rested = wait(last, rest_min, Why::StageRests);
        let words = "abrade the inner face: it has set too hard to bond; wipe the dust off".to_owned();
        let abrade = self.abrading(on, piece, "inner", words, rested, number);
        self.task(number).fallback = Some(Box::new(abrade));
        Some(number)
    }

    /// The task of a coat on an inner face.
    pub fn inner_coat(&mut self, on: &On, coat: &str, area_m2: f64, link: Link) -> usize {
        let amount = Amount::at_rate(area_m2, "m2", self.habits.crew.gelcoat_m2_h.value).and(self.wet_min());
        let amount = amount.room_for(self.room(area_m2));
        let number = self.add(on, Kind::Coat, "coat inner", &format!("{coat} on the inner face"), amount, vec![link]);
        self.task(number).air = Air::Still(STILL_MIN);
        number
    }

    fn gelcoat(
        &mut self,
        on: &On,
        gelcoat: &GelcoatWork,
        ready: Link,
        also: &mut Vec<Link>,
        large: Option<usize>,
    ) -> (usize, Link) {
        let (pace, stock, n) = (self.habits.pace, self.habits.stock, gelcoat.n_coats);
        let amount = Amount::at_rate(gelcoat.laid_m2, "m2", self.habits.crew.gelcoat_m2_h.value);
        let amount = amount.and(self.wet_min()).room_for(self.room(gelcoat.laid_m2));
        let most_min = hours(stock.practice.overlay_most_h.value);
        let mut after = vec![ready];
        after.append(also);
        let mut last = ready.from;
        for number in 1..=n {
            last = self.add(
                on,
                Kind::Gelcoat,
                &format!("gelcoat {number}"),
                &coat_words("gelcoat", number, n),
                amount,
                after,
            );
            let task = self.task(last);
            (task.air, task.large) = (Air::Still(most_min), large);
            let gelled = self.less_clean_up(pace.gelcoat_gel_min.value);
            after = vec![within(last, gelled, most_min, Counted::StartToEnd, Why::GelcoatGels)];
        }
        (last, self.tack_after(last))
    }

    /// Epoxy bonds badly to a gelcoat of polyester unless that has cured and been abraded.
    fn is_epoxy_on_polyester(&self, piece: &PieceWork, gelcoat: &GelcoatWork) -> bool {
        let stock = self.habits.stock;
        let of_gelcoat = stock.gelcoats.get(&gelcoat.name).map(|gelcoat| gelcoat.family);
        piece.plies.first().is_some_and(|ply| stock.is_epoxy(&ply.resin))
            && of_gelcoat.is_some_and(|family| family != Family::Epoxy)
    }

    /// Gelcoat and putty cured and abraded; gives what was done last, and what the first ply waits for.
    fn keyed_for_epoxy(&mut self, on: &On, piece: &PieceWork, laid: &[usize]) -> (usize, Link) {
        let cure_min = hours(self.habits.stock.practice.cure_h.value);
        let mut after: Vec<Link> = laid.iter().map(|&number| wait(number, cure_min, Why::Cure)).collect();
        after.dedup();
        let amount = self.abrade_amount(piece);
        let number = piece.stages.first().map_or(1, |stage| stage.stage);
        let words = "abrade the cured gelcoat: epoxy does not bond to it otherwise; wipe the dust off";
        let abraded = self.add(on, Kind::Abrade, &format!("abrade {number}"), words, amount, after);
        self.task(abraded).air = Air::Dusty;
        (abraded, right_after(abraded))
    }

    fn stage(
        &mut self,
        on: &On,
        piece: &PieceWork,
        stage: &Stage,
        of: usize,
        after: Vec<Link>,
        large: Option<usize>,
    ) -> usize {
        let amount = Amount::taking(laid_kg(piece, stage), "kg", self.habits.rates().stage_min(piece, stage));
        let amount = amount.and(self.wet_min()).room_for(self.room(piece.widest_m2()));
        let is_last = !piece.stages.iter().any(|other| other.stage > stage.stage && laid_kg(piece, other) > 0.0);
        let words = stage_words(stage, of) + &if is_last { self.held_warm() } else { String::new() };
        let number = self.add(on, Kind::Lay, &format!("stage {}", stage.stage), &words, amount, after);
        let task = self.task(number);
        (task.air, task.large) = (Air::Still(STILL_MIN), large);
        number
    }

    /// How what is laid is held in a shop that is colder than what its cure is reckoned for; nothing in a warmer one.
    fn held_warm(&self) -> String {
        let practice = &self.habits.stock.practice;
        let (cure_h, cure_c) = (practice.cure_h.value, practice.cure_least_c.value);
        if shop_c(practice) >= cure_c {
            return String::new();
        }
        format!("; then hold it at {cure_c} C or more for its {cure_h} h of cure, in a heated tent say")
    }

    /// The wait before the next stage; what is laid in another resin goes on what has cured and been abraded.
    fn next_stage(&mut self, on: &On, piece: &PieceWork, before: &Stage, last: usize, rest_h: f64) -> Link {
        let pace = self.habits.pace;
        if before.ends == StageEnd::Resin {
            let cured = wait(last, hours(self.habits.stock.practice.cure_h.value), Why::Cure);
            let number = self.abrade(on, piece, before.stage + 1, cured);
            return right_after(number);
        }
        let most = Most { minutes: hours(pace.stage_most_h.value), counted: Counted::StartToEnd, mended: true };
        Link { from: last, least_min: hours(rest_h), most: Some(most), why: Why::StageRests }
    }

    fn abrade(&mut self, on: &On, piece: &PieceWork, stage: usize, after: Link) -> usize {
        let amount = self.abrade_amount(piece);
        let number = self.add(on, Kind::Abrade, &format!("abrade {stage}"), &abrade_words(stage), amount, vec![after]);
        self.task(number).air = Air::Dusty;
        number
    }

    /// Abrading before a stage that comes too late, as a task that stands beside it.
    fn abrading(&self, on: &On, piece: &PieceWork, name: &str, words: String, after: Link, beside: usize) -> Task {
        let amount = self.abrade_amount(piece);
        Task {
            key: format!("{}/abrade {name}", on.key),
            kind: Kind::Abrade,
            words,
            air: Air::Dusty,
            large: None,
            after: vec![after],
            fallback: None,
            ..self.as_task(amount, beside)
        }
    }

    fn abrade_amount(&self, piece: &PieceWork) -> Amount {
        let area_m2 = piece.area_m2 + piece.flange_m2;
        Amount::at_rate(area_m2, "m2", self.habits.pace.abrade_m2_h.value).room_for(self.room(area_m2))
    }

    /// Edges: with a knife while the laminate is green, or with a saw when it has cured.
    fn trim(&mut self, on: &On, piece: &PieceWork, last: usize) -> Option<usize> {
        let pace = self.habits.pace;
        let edges_mm = piece.edge_mm + if piece.make == Make::Mould { piece.split_mm() } else { 0.0 };
        if edges_mm <= 0.0 {
            return None;
        }
        let metres = m_from_mm(edges_mm);
        let window = (self.less_clean_up(pace.green_from_min.value), self.less_clean_up(pace.green_to_min.value));
        let green = within(last, window.0, window.1, Counted::EndToStart, Why::Green);
        let amount = Amount::at_rate(metres, "m", pace.trim_green_m_h.value);
        let number = self.add(
            on,
            Kind::TrimGreen,
            "trim",
            "trim the edges with a knife while the laminate is green",
            amount,
            vec![green],
        );
        let hard = Amount::at_rate(metres, "m", pace.trim_hard_m_h.value).and(5.0);
        let cured = wait(last, hours(self.habits.stock.practice.cure_h.value), Why::Cure);
        let saw = Task {
            kind: Kind::TrimHard,
            words: "trim the edges with saw or disc, now that it is hard".to_owned(),
            in_parts: true,
            air: Air::Dusty,
            after: vec![cured],
            ..self.as_task(hard, number)
        };
        self.task(number).fallback = Some(Box::new(saw));
        Some(number)
    }

    /// Glass for all plies of a piece, stacked in their order.
    pub fn cut(&mut self, on: &On, piece: &PieceWork, after: Vec<Link>) -> Option<usize> {
        let area_m2: f64 = piece.plies.iter().map(|ply| ply.laid_m2).sum();
        if area_m2 <= 0.0 {
            return None;
        }
        let amount = Amount::at_rate(area_m2, "m2", self.habits.pace.cut_m2_h.value);
        let number =
            self.add(on, Kind::Cut, "cut", "cut the glass to templates and stack it ply by ply", amount, after);
        self.task(number).in_parts = true;
        Some(number)
    }
}

fn abrade_words(stage: usize) -> String {
    format!("abrade before stage {stage}: the laminate has set too hard to bond; wipe the dust off")
}

fn laid_kg(piece: &PieceWork, stage: &Stage) -> f64 {
    piece.plies_of(stage).map(PlyWork::laid_kg).sum()
}

/// `lay ply 1`, `lay plies 2 to 4 (stage 2 of 3)`.
fn stage_words(stage: &Stage, of: usize) -> String {
    let plies = if stage.from_ply == stage.to_ply {
        format!("ply {}", stage.from_ply)
    } else {
        format!("plies {} to {}", stage.from_ply, stage.to_ply)
    };
    if of > 1 { format!("lay {plies} (stage {} of {of})", stage.stage) } else { format!("lay {plies}") }
}
