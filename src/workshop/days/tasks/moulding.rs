//! Mouldings, one after the other out of one mould; the first is a trial that is weighed.

use super::super::pace::Pace;
use super::super::task::{Air, Kind, Link, Tool, Why};
use super::build::{Amount, Builder, On, done, hours, right_after, wait};
use super::mould::heaviest;
use super::{Panel, hand_words};
use crate::laminate::schedule::Make;
use crate::units::m_from_mm;
use crate::workshop::work::PieceWork;

/// What the next moulding of a mould waits for.
#[derive(Debug, Default)]
struct Before {
    /// The last one off it, mould by mould.
    released: Vec<Link>,
    /// The trial is weighed.
    weighed: Option<Link>,
    /// Release film has to be washed off.
    film: bool,
}

impl Builder<'_> {
    /// All mouldings of one hand of a panel.
    pub fn mouldings(&mut self, panel: &Panel<'_>, hand: u32, mould: Option<usize>) {
        let Some(first) = panel.moulding.first() else { return };
        let n = first.count / panel.n_hands.max(1);
        let mut before = Before { film: mould.is_some(), ..Before::default() };
        before.released.extend(mould.and_then(|group| self.last_of(group)).map(done));
        let mut last = None;
        for number in 1..=n {
            if self.is_full((panel.part, panel.name), Make::Moulding) {
                return;
            }
            // The mould is free when the last one is out of it: without a time of that there is none for the next.
            let needs = mould.into_iter().chain(last).collect();
            last = Some(self.moulding(panel, (hand, number, n), mould.is_some(), &mut before, needs));
        }
    }

    fn moulding(
        &mut self,
        panel: &Panel<'_>,
        (hand, number, n): (u32, u32, u32),
        is_new: bool,
        before: &mut Before,
        needs: Vec<usize>,
    ) -> usize {
        self.begin();
        let hand_word = hand_words(panel.n_hands, hand);
        let of = if n > 1 { format!(" {number} of {n}") } else { String::new() };
        let name = format!("{}{hand_word}, moulding{of}", panel.name);
        let key = format!("{}/{}/moulding {number}", panel.name, hand + 1);
        let own_tools = panel.moulding.len() > 1 && panel.moulding.len() == panel.mould.len();
        let all = On { key: key.clone(), about: name.clone(), place: None, tool: None };
        let mut free = std::mem::take(&mut before.released);
        free.extend(before.weighed.take());
        let is_trial = number == 1;
        let film = is_new && number <= Pace::whole(&self.habits.pace.pva_pulls);
        let mut released = Vec::new();
        for (index, piece) in panel.moulding.iter().enumerate() {
            let letter = if panel.moulding.len() > 1 { format!(" {}", piece.piece) } else { String::new() };
            let tool = Tool { part: panel.part, hand, make: Make::Moulding, piece: if own_tools { index } else { 0 } };
            let on = On {
                key: format!("{key}{letter}"),
                about: format!("{name}{letter}"),
                place: Some(piece.place),
                tool: Some(tool),
            };
            let cut = self.cut(&on, piece, free.clone());
            let ready =
                self.mould_ready(&on, panel, piece, (is_new && is_trial, before.film, film, own_tools), free.clone());
            let laid = self.lay_up(&on, piece, ready, cut.map(done).into_iter().collect());
            let cured = laid.cured(hours(self.habits.stock.practice.cure_h.value), Why::Cure);
            let off = self.take_off(&on, piece, cured);
            released.push(off);
            if !own_tools {
                // One mould for all pieces: the next is laid when this one is out.
                free = vec![done(off)];
            }
            before.film = film;
        }
        let finished = self.finish(&all, panel, &released);
        if is_trial {
            let amount = Amount::taking(1.0, "moulding", self.habits.pace.weigh_min.value);
            let words = "weigh the trial moulding before the next is begun, and write it down";
            let weighed = self.add(&all, Kind::Weigh, "weigh", words, amount, vec![done(finished)]);
            before.weighed = Some(wait(weighed, 0, Why::Trial));
        }
        before.released = released.into_iter().map(|off| wait(off, 0, Why::Tool)).collect();
        self.end(name, Some(panel.part), Make::Moulding, needs)
    }

    /// Washed if there was film, bolted if it is in pieces, waxed, filmed; gives what the gelcoat waits for.
    fn mould_ready(
        &mut self,
        on: &On,
        panel: &Panel<'_>,
        piece: &PieceWork,
        (is_new, washed, film, own_tools): (bool, bool, bool, bool),
        mut free: Vec<Link>,
    ) -> Link {
        let pace = self.habits.pace;
        let area_m2 = piece.tool_m2();
        if washed {
            let amount = Amount::at_rate(area_m2, "m2", pace.wash_m2_h.value).room_for(self.room(area_m2));
            let words = "wash the release film off the mould, dry it, look it over";
            free = vec![done(self.add(on, Kind::Wash, "wash", words, amount, free))];
        }
        if panel.mould.len() > 1 && !own_tools {
            let split_mm: f64 = panel.mould.iter().map(|piece| piece.split_mm()).sum::<f64>() / 2.0;
            let n = (split_mm / pace.bolt_pitch_mm.value).ceil().min(10_000.0) + 1.0;
            let amount = Amount::taking(n, "bolts", n * pace.bolt_min.value / 4.0).and(5.0);
            let words = "bolt the pieces of the mould together, wipe the joint flush with wax";
            free = vec![done(self.add(on, Kind::Bolt, "bolt", words, amount, free))];
        }
        let coats = Pace::whole(if is_new { &pace.wax_coats_new } else { &pace.wax_coats_again });
        let waxed = self.wax_coats(on, area_m2, coats, free);
        if film {
            let film = self.film(on, area_m2, waxed);
            return self.after_film(film);
        }
        waxed
    }

    fn take_off(&mut self, on: &On, piece: &PieceWork, after: Vec<Link>) -> usize {
        let minutes = self.habits.pace.release_min.value * (1.0 + piece.area_m2 / 2.0);
        let amount = Amount::taking(piece.area_m2, "m2", minutes);
        let number = self.add(on, Kind::Release, "release", "take the moulding out of the mould", amount, after);
        self.lift(number, heaviest([piece].into_iter()));
        number
    }

    /// Pieces joined once all of them are out and trimmed, each joint keyed right before; then the inner face coated. Gives
    /// what the finish waits for.
    fn joined(&mut self, on: &On, panel: &Panel<'_>, released: &[usize]) -> Vec<Link> {
        let mut after: Vec<Link> = released.iter().map(|&off| done(off)).collect();
        let Some(first) = panel.moulding.first().filter(|_| panel.moulding.len() > 1) else { return after };
        let extra = self.extra(first.place);
        let cure_min = hours(self.habits.stock.practice.cure_h.value);
        for joint in &extra.joints {
            let faces_m2 = 2.0 * joint.length_m * joint.width_m;
            let keyed =
                self.keyed(on, &joint.split, "fit the pieces dry and abrade the faces of the joint", faces_m2, after);
            let pace = self.habits.pace;
            let plies_min = 60.0 * joint.n_plies * joint.length_m * joint.width_m / pace.ply_m2_h.value;
            let minutes = 60.0 * joint.length_m * pace.join_h_m.value + plies_min;
            let amount = Amount::taking(joint.length_m, "m", minutes).and(self.wet_min());
            let words = format!("join the pieces at {} ({}), held until it has cured", joint.split, joint.kind);
            let link = right_after(keyed);
            let number = self.add(on, Kind::Join, &format!("join {}", joint.split), &words, amount, vec![link]);
            self.task(number).air = Air::Still(60);
            after = vec![wait(number, cure_min, Why::Cure)];
        }
        if let Some(coat) = extra.coat.filter(|_| !extra.joints.is_empty()) {
            let all_m2: f64 = panel.moulding.iter().map(|piece| piece.area_m2).sum();
            // Under peel ply it stays bare for what is bonded later.
            let area_m2 = (all_m2 - extra.peel_ply_m2).max(0.0);
            let keyed = self.keyed(on, "inner", "abrade the inner face and wipe it clean", area_m2, after);
            let number = self.inner_coat(on, coat, area_m2, right_after(keyed));
            after = vec![wait(number, cure_min, Why::Cure)];
        }
        after
    }

    /// Abrading right before something is stuck or laid on.
    fn keyed(&mut self, on: &On, name: &str, words: &str, area_m2: f64, after: Vec<Link>) -> usize {
        let amount = Amount::at_rate(area_m2, "m2", self.habits.pace.abrade_m2_h.value).and(5.0);
        let amount = amount.room_for(self.room(area_m2));
        let number = self.add(on, Kind::Abrade, &format!("abrade {name}"), words, amount, after);
        self.task(number).air = Air::Dusty;
        number
    }

    /// Edges dressed, openings cut out, post-cured if the job asks for it; gives the last.
    fn finish(&mut self, on: &On, panel: &Panel<'_>, released: &[usize]) -> usize {
        let metres: f64 = panel.moulding.iter().map(|piece| m_from_mm(piece.edge_mm)).sum();
        let after = self.joined(on, panel, released);
        let amount = Amount::at_rate(metres, "m", self.habits.pace.finish_m_h.value).and(5.0);
        let mut last = self.add(on, Kind::Finish, "finish", "dress the edges, cut openings out", amount, after);
        let task = self.task(last);
        (task.in_parts, task.air) = (true, Air::Dusty);
        if let Some(warm_h) =
            self.habits.pace.post_cure_h.as_ref().map(|figure| figure.value).filter(|warm_h| *warm_h > 0.0)
        {
            let step = Amount::taking(1.0, "moulding", 10.0);
            let warm = self.add(
                on,
                Kind::WarmIn,
                "warm in",
                "into the warm for its post-cure, held in shape",
                step,
                vec![done(last)],
            );
            let cured = vec![wait(warm, hours(warm_h), Why::Warm)];
            last = self.add(on, Kind::WarmOut, "warm out", "out of the warm, when it has cooled", step, cured);
        }
        last
    }
}
