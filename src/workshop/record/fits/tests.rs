use super::*;
use crate::laminate::stock::Stock;

fn stock() -> Stock {
    Stock::starter().expect("the starter's stock")
}

/// A build of one mat of 450: so much glass and resin, a fixed plan of 1.8 kg of glass.
pub fn line(glass_kg: f64, resin_kg: f64, more: &str) -> String {
    format!(
        "{{\"matloft_weighed\":1,\"panel\":\"lid\",\"make\":\"moulding\",\"date\":\"2027-03-02\",\"glass_kg\":{{\"mat 450\":{glass_kg}}},\
         \"resin_kg\":{resin_kg}{more},\"asked\":{{\"schedule\":\"m\",\"glass_kg\":{{\"mat 450\":1.8}},\"resin_kg\":4.7,\"resin_by_area_kg\":0.2,\
         \"plies_m2\":4.0,\"gelcoat\":\"production gelcoat\",\"gelcoat_m2\":2.0,\"gelcoat_kg\":1.25,\"finished_kg\":7.0}}}}\n"
    )
}

fn fit_of(text: &str, kind: FitOf) -> Fit {
    let found = fits(&Records::read(text.as_bytes(), "x"), &stock());
    found.into_iter().find(|fit| fit.kind == kind).expect("there is such a fit")
}

/// By hand: (4.6 - 0.2 - 0.2) / 2.0 = 2.1 and (4.8 - 0.2 - 0.2) / 2.0 = 2.2; what tissue took and what was thrown away is no mat's.
#[test]
fn the_ratio_leaves_out_waste_and_what_goes_by_area() {
    let text = line(2.0, 4.6, ",\"waste_kg\":0.2") + &line(2.0, 4.8, ",\"waste_kg\":0.2");
    let fit = fit_of(&text, FitOf::ResinPerGlass);
    assert!((fit.value - 2.15).abs() < 1e-12 && !fit.is_enough && fit.of == "mat 450");
    // t at one degree is 12.706, s = 0.0707: 12.706 x 0.0707 / sqrt(2) = 0.635.
    assert!((fit.high.expect("two") - 2.15 - 0.6353).abs() < 1e-3, "{fit:?}");
    let waste = fit_of(&text, FitOf::Waste);
    assert!((waste.value - 0.5 * (0.2 / 4.6 + 0.2 / 4.8)).abs() < 1e-12);
}

/// By hand: 1.3 kg on 2 m2 is 0.65; 40 minutes of two on 4 m2 are 20; 2 + 4.6 - 0.2 = 6.4 kg in 40 minutes of two are 4.8 kg/h.
#[test]
fn gelcoat_minutes_speed_and_mass_are_what_the_pocket_calculator_says() {
    let more = ",\"waste_kg\":0.2,\"gelcoat_kg\":1.3,\"minutes\":40,\"people\":2,\"finished_kg\":7.7";
    let text = line(2.0, 4.6, more).repeat(3);
    for (kind, value) in [(FitOf::Gelcoat, 0.65), (FitOf::Minutes, 20.0), (FitOf::Speed, 4.8), (FitOf::Finished, 1.1)] {
        let fit = fit_of(&text, kind);
        assert!((fit.value - value).abs() < 1e-12 && fit.is_enough && fit.n_builds == 3, "{fit:?}");
    }
}

#[test]
fn glass_that_was_not_weighed_in_whole_teaches_no_ratio() {
    let text = line(2.0, 4.6, "").replace("\"mat 450\":1.8", "\"mat 225\":0.5,\"mat 450\":1.8");
    let found = fits(&Records::read(text.as_bytes(), "x"), &stock());
    assert!(found.iter().all(|fit| fit.kind != FitOf::ResinPerGlass), "{found:?}");
}
