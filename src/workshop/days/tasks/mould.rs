//! A mould on its plug: piece after piece, never two at a time, for each is laid against the flange of the one before.

use super::super::task::{Air, Kind, Link, Why};
use super::build::{Amount, Builder, On, done, hours, wait};
use super::laying::Laid;
use super::{Panel, hand_words};
use crate::laminate::release::Hands;
use crate::laminate::schedule::Make;
use crate::units::m_from_mm;
use crate::workshop::work::PieceWork;

impl Builder<'_> {
    /// Plug and mould of one hand of a panel; gives the group.
    pub fn mould(&mut self, panel: &Panel<'_>, hand: u32, proved: Option<usize>, first_laid: Option<usize>) -> usize {
        self.begin();
        let name = format!("{}{}", panel.name, hand_words(panel.n_hands, hand));
        let key = format!("{}/{}/mould", panel.name, hand + 1);
        let plug = On { key, about: format!("{name}, plug"), place: None, tool: Some(Self::plug_of(panel, hand)) };
        let (painted, cure_min) = self.plug(&plug, panel, proved);
        let mut free = vec![Self::painted(painted, cure_min)];
        // Flatted and polished meanwhile, if there is paint to polish.
        free.extend((self.last_task() != painted).then(|| done(self.last_task())));
        // A plug that is not painted waits for its patch here: what is laid on it must come off.
        let is_bare = self.task(painted).kind == Kind::Fair;
        free.extend(proved.filter(|_| is_bare).and_then(|patch| self.looked_at(patch)));
        let mut glass_after = done(painted);
        let mut laid: Vec<Laid> = Vec::new();
        let mut stiffened = Vec::new();
        let mut stripped = Vec::new();
        for (index, piece) in panel.mould.iter().enumerate() {
            let letter = if panel.mould.len() > 1 { format!(" {}", piece.piece) } else { String::new() };
            let on = On {
                key: format!("{}{letter}", plug.key),
                about: format!("{name}, mould{letter}"),
                place: Some(piece.place),
                tool: plug.tool,
            };
            let cut = self.cut(&on, piece, vec![glass_after]);
            let split_m = m_from_mm(to_come_mm(piece, &panel.mould[index + 1..]));
            let board_m = split_m + m_from_mm(piece.flanged_mm);
            if board_m > 0.0 {
                let words = board_words(split_m > 0.0, piece.flanged_mm > 0.0);
                free = vec![done(self.board(&on, words, board_m, std::mem::take(&mut free)))];
            }
            let area_m2 = piece.tool_m2();
            let waxed = self.wax_coats(&on, area_m2, self.new_coats(), std::mem::take(&mut free));
            let film = self.film(&on, area_m2, waxed);
            let learnt = first_laid.filter(|_| self.large(piece)).map(|first| wait(first, 0, Why::Learn));
            let also = cut.map(done).into_iter().chain(learnt).collect();
            let ready = self.after_film(film);
            let done_with = self.lay_up(&on, piece, ready, also);
            stiffened.extend(self.stiffen(&on, piece, &done_with));
            free = self.cured(&done_with);
            glass_after = done(done_with.last);
            if board_m > 0.0 {
                let strip = self.strip(&on, board_m, std::mem::take(&mut free));
                stripped.push(strip);
                free = vec![done(strip)];
            }
            laid.push(done_with);
        }
        self.part_from_plug(&plug, &name, panel, &laid, (stiffened, stripped));
        self.end(format!("{name}, plug and mould"), Some(panel.part), Make::Mould, proved.into_iter().collect())
    }

    fn new_coats(&self) -> u32 {
        super::super::pace::Pace::whole(&self.habits.pace.wax_coats_new)
    }

    fn cured(&self, laid: &Laid) -> Vec<Link> {
        laid.cured(hours(self.habits.stock.practice.cure_h.value), Why::Cure)
    }

    fn board(&mut self, on: &On, words: &str, metres: f64, after: Vec<Link>) -> usize {
        let amount = Amount::taking(metres, "m", 60.0 * metres * self.habits.pace.board_h_m.value);
        let number = self.add(on, Kind::Board, "board", words, amount, after);
        self.task(number).in_parts = true;
        number
    }

    fn strip(&mut self, on: &On, metres: f64, after: Vec<Link>) -> usize {
        let amount = Amount::taking(metres, "m", 60.0 * metres * self.habits.pace.strip_h_m.value);
        let words = "take the flange board off, clean plug and flange; the piece stays on the plug";
        self.add(on, Kind::Strip, "strip", words, amount, after)
    }

    fn stiffen(&mut self, on: &On, piece: &PieceWork, laid: &Laid) -> Option<usize> {
        let flat = piece.stiffen?;
        let amount = Amount::taking(flat.area_m2, "m2", 60.0 * flat.area_m2 * self.habits.pace.stiffen_h_m2.value);
        let after = self.cured(laid);
        let words = "stiffeners over the flat, on a soft bed, taped over";
        let number = self.add(on, Kind::Stiffen, "stiffen", words, amount.and(self.wet_min()), after);
        let task = self.task(number);
        (task.in_parts, task.air) = (true, Air::Still(60));
        Some(number)
    }

    /// Drilled and bolted while all pieces are still on the plug, then taken off.
    fn part_from_plug(
        &mut self,
        on: &On,
        name: &str,
        panel: &Panel<'_>,
        laid: &[Laid],
        (stiffened, stripped): (Vec<usize>, Vec<usize>),
    ) {
        let cure_min = hours(self.habits.stock.practice.cure_h.value);
        let on = On { about: format!("{name}, mould"), ..on.clone() };
        let mut after: Vec<Link> = laid.iter().flat_map(|laid| laid.cured(cure_min, Why::Cure)).collect();
        after.extend(stiffened.iter().map(|&number| wait(number, cure_min, Why::Cure)));
        after.extend(stripped.iter().map(|&number| done(number)));
        let split_mm: f64 = panel.mould.iter().map(|piece| piece.split_mm()).sum::<f64>() / 2.0;
        if panel.mould.len() > 1 && split_mm > 0.0 {
            let n = (split_mm / self.habits.pace.bolt_pitch_mm.value).ceil().min(10_000.0) + 1.0;
            let amount = Amount::taking(n, "bolts", n * self.habits.pace.bolt_min.value);
            let words = "drill the flanges and bolt them, before anything is parted";
            let number = self.add(&on, Kind::Drill, "drill", words, amount, after);
            let task = self.task(number);
            (task.in_parts, task.air) = (true, Air::Dusty);
            after = vec![done(number)];
        }
        let cradle_m = panel.mould.first().map_or(0.0, |piece| self.extra(piece.place).cradle_m);
        if cradle_m > 0.0 {
            let amount = Amount::taking(cradle_m, "m", 60.0 * cradle_m * self.habits.pace.cradle_h_m.value);
            let words = "build the cradle on the mould and tape it on, before it comes off";
            let number = self.add(&on, Kind::Cradle, "cradle", words, amount.and(self.wet_min()), after);
            let task = self.task(number);
            (task.in_parts, task.air) = (true, Air::Still(60));
            after = vec![wait(number, cure_min, Why::Cure)];
        }
        let mould_cure_min = hours(self.habits.mould_cure_h());
        after.extend(laid.iter().map(|laid| wait(laid.last, mould_cure_min, Why::MouldCure)));
        let area_m2: f64 = panel.mould.iter().map(|piece| piece.area_m2).sum();
        let n = panel.mould.len().max(1) as f64;
        let amount = Amount::taking(area_m2, "m2", self.habits.pace.release_min.value * (n + area_m2 / 2.0));
        let number = self.add(&on, Kind::Release, "release", "take the mould off the plug", amount, after);
        self.lift(number, heaviest(panel.mould.iter().copied()));
    }
}

/// Where a flange board goes.
const fn board_words(along_split: bool, round_edge: bool) -> &'static str {
    match (along_split, round_edge) {
        (true, true) => "fix the flange board along the split and round the edge, seal it to the plug",
        (true, false) => "fix the flange board along the split and seal it to the plug",
        _ => "fix the flange board round the edge and seal it to the plug",
    }
}

/// Length of the splits that pieces to come lie beyond.
fn to_come_mm(piece: &PieceWork, later: &[&PieceWork]) -> f64 {
    let shared = |name: &str| later.iter().any(|other| other.splits.iter().any(|(split, _)| split == name));
    crate::units::total(piece.splits.iter().filter(|(name, _)| shared(name)).map(|(_, length_mm)| *length_mm))
}

/// Who lifts the piece that is hardest to lift.
pub(super) fn heaviest<'a>(pieces: impl Iterator<Item = &'a PieceWork>) -> Option<Hands> {
    pieces.filter_map(|piece| piece.lifted_by).max_by_key(|hands| match hands {
        Hands::One => 1,
        Hands::Two => 2,
        Hands::More => 3,
    })
}
