//! The test patch, and the plug up to its wax.

use super::super::pace::Pace;
use super::super::task::{Air, Counted, Kind, Link, Tool, Why, on_grid};
use super::Panel;
use super::build::{Amount, Builder, On, done, hours, wait, within};
use crate::laminate::schedule::Make;
use crate::workshop::takes::habits::PlugStuff;
use crate::workshop::takes::patch_words;

impl Builder<'_> {
    /// The test patch of the whole stack on what some plugs are made of, first of all; gives its group. With several stuffs each
    /// has its own.
    pub fn patch(&mut self, stuff: Option<PlugStuff>, is_only: bool) -> usize {
        self.begin();
        let pace = self.habits.pace;
        let practice = &self.habits.stock.practice;
        let about = patch_words(stuff, is_only);
        let on = On { key: about.clone(), about: about.clone(), place: None, tool: None };
        let step = Amount::taking(1.0, "step", pace.patch_min.value);
        let offcut = match stuff {
            Some(PlugStuff::Other) | None => "an offcut of what the plugs are made of".to_owned(),
            Some(stuff) => format!("an offcut of {}", stuff.words()),
        };
        let mut after = Vec::new();
        if stuff == Some(PlugStuff::FoamPolystyrene) {
            let words = format!("seal {offcut} with epoxy and glass, without a pinhole");
            let sealed = self.add(&on, Kind::Seal, "seal", &words, step, vec![]);
            after.push(wait(sealed, hours(pace.seal_cure_h.value), Why::Cure));
        }
        let prime = self.add(&on, Kind::Patch, "prime", &format!("fill, sand and prime {offcut}"), step, after);
        let paint = self.add(
            &on,
            Kind::Patch,
            "paint",
            "sand and paint it",
            step,
            vec![wait(prime, hours(pace.primer_dry_h.value), Why::Dry)],
        );
        let cured = wait(paint, hours(pace.paint_cure_h.value), Why::PaintCure);
        let m2 = pace.patch_m2.value;
        let waxed = self.wax_coats(&on, m2, Pace::whole(&pace.wax_coats_new), vec![cured]);
        let film = self.film(&on, m2, waxed);
        let gelcoat = self.add(&on, Kind::Patch, "gelcoat", "gelcoat it", step, vec![self.after_film(film)]);
        self.task(gelcoat).air = Air::Still(60);
        let tack = self.tack_after(gelcoat);
        let ply = self.add(&on, Kind::Patch, "ply", "lay one ply of mat on it", step, vec![tack]);
        self.task(ply).air = Air::Still(60);
        let cured = wait(ply, hours(practice.cure_h.value), Why::Cure);
        self.add(
            &on,
            Kind::Look,
            "look",
            "pull it off and look: nothing lifted, wrinkled, stuck or soft; mend the stack and repeat if it has",
            step,
            vec![cured],
        );
        self.end(about, None, Make::Mould, vec![])
    }

    /// Fairing, primer and paint of a plug; gives what the wax waits for.
    pub fn plug(&mut self, on: &On, panel: &Panel<'_>, proved: Option<usize>) -> (usize, u32) {
        let pace = self.habits.pace;
        let area_m2 = panel.mould.iter().map(|piece| piece.face_m2()).sum::<f64>();
        let room = self.room(area_m2);
        let fair = Amount::taking(area_m2, "m2", 60.0 * area_m2 * pace.fair_h_m2.value).room_for(room);
        let sealed = self.sealed(on, panel, area_m2);
        let mut last = self.add(on, Kind::Fair, "fair", "fill, fair and sand", fair, sealed.into_iter().collect());
        self.in_dust(last);
        let mut least_min = 0;
        let mut why = Why::Order;
        let coat = Amount::at_rate(area_m2, "m2", pace.paint_m2_h.value).and(self.wet_min()).room_for(room);
        for (kind, n, what) in [
            (Kind::Prime, Pace::whole(&pace.prime_coats), "primer"),
            (Kind::Paint, Pace::whole(&pace.paint_coats), "paint"),
        ] {
            if kind == Kind::Paint && n > 0 && why == Why::Dry {
                let flat = Amount::at_rate(area_m2, "m2", pace.flat_m2_h.value).room_for(room);
                let dry = wait(last, hours(pace.primer_dry_h.value), Why::Dry);
                last = self.add(on, Kind::Flat, "flat", "sand the primer flat", flat, vec![dry]);
                self.in_dust(last);
                (least_min, why) = (0, Why::Order);
            }
            for number in 1..=n {
                let mut after = vec![wait(last, least_min, why)];
                after.extend(proved.filter(|_| number == 1).and_then(|group| self.looked_at(group)));
                let name = format!("{what} {number}");
                last = self.add(on, kind, &name, &coat_words(what, number, n), coat, after);
                self.task(last).air = Air::Still(hours(pace.coat_dry_h.value).min(240));
                (least_min, why) = (hours(pace.coat_dry_h.value), Why::Dry);
            }
        }
        let painted = Pace::whole(&pace.paint_coats) + Pace::whole(&pace.prime_coats) > 0;
        if Pace::whole(&pace.paint_coats) > 0 {
            let polish = Amount::at_rate(area_m2, "m2", pace.polish_m2_h.value).room_for(room);
            let hard = wait(last, hours(pace.polish_after_h.value), Why::Dry);
            let words = "flat the paint with fine wet abrasive and polish it";
            let number = self.add(on, Kind::Polish, "polish", words, polish, vec![hard]);
            self.task(number).in_parts = true;
        }
        (last, if painted { hours(pace.paint_cure_h.value) } else { 0 })
    }

    /// Nothing goes on a plug before its test patch is good.
    pub fn looked_at(&self, patch: usize) -> Option<Link> {
        self.last_of(patch).map(|look| wait(look, 0, Why::Proved))
    }

    /// Polystyrene foam is sealed before anything with styrene comes near it; gives what the filler waits for.
    fn sealed(&mut self, on: &On, panel: &Panel<'_>, area_m2: f64) -> Option<Link> {
        let stuff = self.beside.plugs.get(&panel.part);
        stuff.filter(|&&stuff| stuff == PlugStuff::FoamPolystyrene)?;
        let pace = self.habits.pace;
        let amount = Amount::taking(area_m2, "m2", 60.0 * area_m2 * pace.seal_h_m2.value);
        let amount = amount.and(self.wet_min()).room_for(self.room(area_m2));
        let words = "seal the foam with light cloth in epoxy and a filling coat, without a pinhole";
        let number = self.add(on, Kind::Seal, "seal", words, amount, vec![]);
        self.task(number).air = Air::Still(120);
        Some(wait(number, hours(pace.seal_cure_h.value), Why::Cure))
    }

    fn in_dust(&mut self, number: usize) {
        let task = self.task(number);
        (task.air, task.in_parts) = (Air::Dusty, true);
    }

    /// Coats of wax; gives what comes next waits for. Without a coat the face is wiped down and looked over, and nothing
    /// hardens.
    pub fn wax_coats(&mut self, on: &On, area_m2: f64, n: u32, after: Vec<Link>) -> Link {
        let pace = self.habits.pace;
        let room = self.room(area_m2);
        if n == 0 {
            let amount = Amount::at_rate(area_m2, "m2", pace.wash_m2_h.value).room_for(room);
            let wiped = self.add(on, Kind::Wash, "wipe", "wipe the face down and look it over", amount, after);
            return done(wiped);
        }
        let coat = Amount::at_rate(area_m2, "m2", pace.wax_m2_h.value).room_for(room);
        let mut after = after;
        let mut last = 0;
        for number in 1..=n {
            let name = format!("wax {number}");
            last = self.add(on, Kind::Wax, &name, &coat_words("wax", number, n), coat, std::mem::take(&mut after));
            self.task(last).air = Air::Still(0);
            after = vec![wait(last, on_grid(pace.wax_wait_min.value), Why::WaxHardens)];
        }
        wait(last, on_grid(pace.wax_wait_min.value), Why::WaxHardens)
    }

    /// Release film over the wax, or on the bare face where there is none.
    pub fn film(&mut self, on: &On, area_m2: f64, waxed: Link) -> usize {
        let pace = self.habits.pace;
        let film = Amount::at_rate(area_m2, "m2", pace.pva_m2_h.value).and(5.0);
        let words = if waxed.why == Why::WaxHardens {
            "release film over the wax, one even pass"
        } else {
            "release film, one even pass"
        };
        let number = self.add(on, Kind::Film, "film", words, film, vec![waxed]);
        self.task(number).air = Air::Still(on_grid(pace.pva_dry_min.value));
        number
    }

    /// What is laid on release film waits until it is dry, and not until it is dusty.
    pub fn after_film(&self, film: usize) -> Link {
        let pace = self.habits.pace;
        within(film, on_grid(pace.pva_dry_min.value), hours(pace.pva_most_h.value), Counted::EndToStart, Why::FilmDries)
    }

    /// The first ply waits for the finger test, and not past the overlay window.
    pub fn tack_after(&self, gelcoat: usize) -> Link {
        let practice = &self.habits.stock.practice;
        let least_min = self.less_clean_up(practice.gelcoat_tack_min.value);
        within(gelcoat, least_min, hours(practice.overlay_most_h.value), Counted::StartToEnd, Why::Tack)
    }

    /// What the wax of a plug waits for.
    pub fn painted(last: usize, least_min: u32) -> Link {
        if least_min > 0 { wait(last, least_min, Why::PaintCure) } else { done(last) }
    }

    /// The plug of a panel as a tool.
    pub fn plug_of(panel: &Panel<'_>, hand: u32) -> Tool {
        Tool { part: panel.part, hand, make: Make::Mould, piece: 0 }
    }
}

/// `wax, coat 2 of 6`; a single coat is not counted.
pub(super) fn coat_words(what: &str, number: u32, of: u32) -> String {
    if of > 1 { format!("{what}, coat {number} of {of}") } else { what.to_owned() }
}
