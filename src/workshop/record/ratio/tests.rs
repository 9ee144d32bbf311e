use super::*;

/// The splitmix64 generator and, of two of its numbers, a normally distributed one (Box and Muller 1958).
struct Dice(u64);

impl Dice {
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * crate::maths::ln(1.0 - self.share())).sqrt();
        radius * crate::maths::cos(std::f64::consts::TAU * self.share())
    }
}

fn build(asked: &[(&str, f64)], resin_kg: f64) -> Build {
    Build { asked_kg: asked.iter().map(|&(name, kg)| (name.to_owned(), kg)).collect(), resin_kg }
}

fn holds(factor: &Factor, truth: f64) -> bool {
    factor.factor.low() <= truth && truth <= factor.factor.high()
}

/// Resin taken where each reinforcement drinks `truth` times what is asked, give or take 7 % of the whole.
fn taken(asked: &[(&str, f64)], truth: &[(&str, f64)], dice: &mut Dice) -> Build {
    let right: f64 = asked
        .iter()
        .map(|(name, kg)| kg * truth.iter().find(|(other, _)| other == name).map_or(1.0, |(_, factor)| *factor))
        .sum();
    let all: f64 = asked.iter().map(|(_, kg)| kg).sum();
    build(asked, right + 0.07 * all * dice.normal())
}

#[test]
fn of_one_reinforcement_the_factor_is_the_plain_mean() {
    let builds = [build(&[("mat 450", 2.5)], 2.3), build(&[("mat 450", 5.0)], 4.4), build(&[("mat 450", 10.0)], 9.4)];
    let [factor] = factors(&builds).try_into().expect("one");
    let mean = Estimate::mean(&[0.92, 0.88, 0.94]).expect("three");
    assert!((factor.factor.value - mean.value).abs() < 1e-12);
    assert!((factor.factor.half_width.expect("three") - mean.half_width.expect("three")).abs() < 1e-12);
}

#[test]
fn the_interval_holds_the_true_ratio_in_95_of_100_simulated_shops() {
    for n_builds in [3, 6, 12] {
        let mut dice = Dice(20_270_302 + n_builds);
        let mut n_held = 0;
        for _ in 0..1000 {
            let mut one = || {
                let asked = [("mat 450", 1.0 + 9.0 * dice.share())];
                taken(&asked, &[("mat 450", 0.92)], &mut dice)
            };
            let builds: Vec<Build> = (0..n_builds).map(|_| one()).collect();
            n_held += usize::from(holds(&factors(&builds)[0], 0.92));
        }
        assert!((930..=970).contains(&n_held), "{n_builds} builds: {n_held} of 1000");
    }
}

#[test]
fn mixed_builds_tell_mat_and_cloth_apart_and_their_intervals_hold() {
    let truth = [("mat 450", 0.9), ("woven 300", 1.2)];
    let mut dice = Dice(7);
    let mut n_held = [0, 0];
    for _ in 0..1000 {
        let mut builds = Vec::new();
        for number in 0..10 {
            let mat = 2.0 + 6.0 * dice.share();
            // A third mat alone, the others with cloth as well.
            let asked = [("mat 450", mat), ("woven 300", 1.0 + 4.0 * dice.share())];
            let asked = if number % 3 == 0 { &asked[..1] } else { &asked[..] };
            builds.push(taken(asked, &truth, &mut dice));
        }
        let found = factors(&builds);
        assert_eq!(found.len(), 2);
        for (index, (name, truth)) in truth.iter().enumerate() {
            assert_eq!(found[index].materials, [*name]);
            n_held[index] += usize::from(holds(&found[index], *truth));
        }
    }
    assert!(n_held.iter().all(|held| (930..=970).contains(held)), "{n_held:?}");
}

#[test]
fn exact_builds_give_back_their_ratios() {
    let of = |mat: f64, cloth: f64| build(&[("mat 450", mat), ("woven 300", cloth)], 0.8 * mat + 1.3 * cloth);
    let found = factors(&[of(1.0, 3.0), of(2.0, 1.0), of(4.0, 1.0), of(1.0, 1.0)]);
    let values: Vec<f64> = found.iter().map(|factor| factor.factor.value).collect();
    assert!((values[0] - 0.8).abs() < 1e-12 && (values[1] - 1.3).abs() < 1e-12, "{values:?}");
}

#[test]
fn mats_that_always_go_in_like_shares_get_one_factor() {
    let mut dice = Dice(11);
    let builds: Vec<Build> = (0..8)
        .map(|_| {
            let size = 1.0 + dice.share();
            let scales = 1.0 + 0.01 * dice.normal();
            taken(
                &[("mat 225", size * scales), ("mat 450", 4.0 * size)],
                &[("mat 225", 0.9), ("mat 450", 0.9)],
                &mut dice,
            )
        })
        .collect();
    let [factor] = factors(&builds).try_into().expect("one factor");
    assert_eq!(factor.materials, ["mat 225", "mat 450"]);
    assert!(holds(&factor, 0.9) && factor.factor.degrees == 7);
}

#[test]
fn reinforcements_that_never_meet_are_fitted_each_for_itself() {
    let mat = |resin_kg| build(&[("mat 450", 10.0)], resin_kg);
    let found = factors(&[mat(9.0), mat(9.2), build(&[("woven 600", 2.0)], 3.0), mat(8.8)]);
    assert_eq!(found.len(), 2);
    assert!((found[0].factor.value - 0.9).abs() < 1e-12 && found[0].factor.n_builds == 3);
    assert!((found[1].factor.value - 1.5).abs() < 1e-12 && found[1].factor.half_width.is_none());
}

#[test]
fn a_ratio_that_would_come_out_under_nothing_is_not_told_apart() {
    // More cloth, less resin: no cloth gives resin off.
    let of = |mat: f64, cloth: f64, resin| build(&[("mat 450", mat), ("woven 300", cloth)], resin);
    let found = factors(&[of(5.0, 0.0, 5.0), of(5.0, 1.0, 4.0), of(5.0, 2.0, 3.0), of(5.0, 3.0, 2.0)]);
    assert_eq!(found.len(), 1);
    assert!(found[0].factor.value > 0.0);
}

#[test]
fn nothing_weighed_tells_nothing() {
    assert!(factors(&[]).is_empty());
    assert!(factors(&[build(&[], 3.0), build(&[("mat 450", 0.0)], 3.0)]).is_empty());
}
