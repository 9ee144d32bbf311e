use super::super::check::oddities;
use super::super::fits::tests::line;
use super::*;
use crate::workshop::crew::CrewEntry;

fn shelf() -> (Stock, Crew) {
    (Stock::starter().expect("the starter's stock"), Crew::with(CrewEntry::default()).expect("the starter's crew"))
}

fn laid(text: &str, apply: bool) -> (Record, Stock, Crew) {
    let (mut stock, mut crew) = shelf();
    let record = lay_over(&Records::read(text.as_bytes(), "x"), "x", &mut stock, &mut crew, apply);
    (record, stock, crew)
}

fn codes(record: &Record) -> Vec<&str> {
    record.notes.iter().map(|note| note.code.as_str()).collect()
}

#[test]
fn three_builds_move_the_plan_and_two_are_only_told() {
    let builds = [line(2.0, 4.5, ""), line(2.0, 4.6, ""), line(2.0, 4.7, "")];
    let (record, stock, _) = laid(&builds.concat(), true);
    let ratio = stock.reinforcements["mat 450"].resin_per_glass.clone().expect("a ratio");
    assert!((ratio.value - 2.2).abs() < 1e-12 && ratio.mark == Mark::Weighed);
    assert!(ratio.low > 2.05 && ratio.low < ratio.value && ratio.value < ratio.high);
    assert!(ratio.source.starts_with("3 builds weighed 2027-03-02"), "{}", ratio.source);
    let note = record.notes.iter().find(|note| note.code == "weighed-figure").expect("it is told");
    assert!(note.message.contains("2.2 (") && note.message.contains("12.0 % less"), "{}", note.message);
    let (record, stock, _) = laid(&builds[..2].concat(), true);
    assert_eq!(stock, shelf().0);
    assert_eq!(codes(&record), ["weighed-too-few"]);
    let (record, stock, _) = laid(&builds.concat(), false);
    assert!(stock == shelf().0 && !record.applied && record.fits.len() == 1);
}

#[test]
fn a_stock_by_glass_content_stays_by_glass_content() {
    let text = line(2.0, 2.2, "").replace("mat 450", "biaxial 450").repeat(3);
    let (_, stock, _) = laid(&text, true);
    let glass = &stock.reinforcements["biaxial 450"];
    assert!(
        (glass.glass_content.as_ref().expect("by content").value - 0.5).abs() < 1e-12
            && glass.resin_per_glass.is_none()
    );
}

/// Waste of 0.1, 0.2 and 0.3 of what was mixed: likely 0.2, a quarter of what was laid. Student's t of 2 degrees is 4.303, so
/// that the mean of the three is 0.2 +- 0.248 at 95 %: its high end would be 81 %, and says only how few builds there are.
#[test]
fn the_reserve_of_laminating_resin_goes_up_to_the_likely_waste_and_nothing_else_does() {
    use crate::workshop::needs::{NeedKind, reserve_of};
    let text = ["0.56", "1.12", "1.68"].map(|kg| line(2.0, 5.6, &format!(",\"waste_kg\":{kg}"))).concat();
    let (record, stock, _) = laid(&text, true);
    let extras = crate::workshop::takes::habits::Extras::with(Default::default()).expect("extras");
    let reserve = |kind| reserve_of(kind, &stock.practice, &extras).figure.expect("a reserve");
    for kind in [NeedKind::Resin, NeedKind::Catalyst, NeedKind::Hardener] {
        let figure = reserve(kind);
        assert!((figure.value - 25.0).abs() < 1e-9 && figure.mark == Mark::Weighed, "{figure:?}");
        assert!(figure.source.contains("3 builds weighed") && figure.low == 0.0 && figure.high > 75.0, "{figure:?}");
    }
    for kind in [NeedKind::Filler, NeedKind::Adhesive, NeedKind::WaxSolution] {
        assert_eq!(reserve(kind).value, 15.0);
    }
    let told = record.notes.iter().find(|note| note.code == "weighed-waste").expect("told");
    assert!(told.message.contains("25.0 (0.0 to ") && told.message.contains("goes up from 15 to 25.0 %"), "{told:?}");
    let (record, stock, _) = laid(&line(2.0, 5.0, ",\"waste_kg\":0.1").repeat(3), true);
    assert_eq!(stock.practice.laminate_reserve_percent, None);
    assert!(record.notes.iter().any(|note| note.message.contains("the reserve of 15 % holds it")));
}

#[test]
fn a_dry_and_a_rich_build_are_told() {
    let usual = line(2.0, 5.2, "").repeat(6);
    let (record, ..) = laid(&(usual.clone() + &line(2.0, 3.4, "")), true);
    let dry = record.notes.iter().find(|note| note.code == "weighed-too-dry").expect("1.6 of resin is dry");
    assert!(dry.message.contains("record 7 (lid, moulding, 2027-03-02): 1.60 of resin"), "{}", dry.message);
    let (record, ..) = laid(&(usual.clone() + &line(2.0, 7.0, "")), true);
    assert!(codes(&record).contains(&"weighed-too-rich"));
    assert!(!codes(&laid(&usual, true).0).iter().any(|code| code.starts_with("weighed-too")));
}

#[test]
fn what_is_odd_about_a_build_is_told() {
    let (stock, _) = shelf();
    let told = |text: String| {
        let records = Records::read(text.as_bytes(), "x");
        let notes = oddities(&records.lines[0].weighed, &stock);
        notes.into_iter().map(|note| note.message).collect::<Vec<_>>().join("\n")
    };
    assert_eq!(told(line(1.9, 4.6, ",\"finished_kg\":6.9,\"temperature_c\":19")), "");
    assert!(told(line(1900.0, 4.6, "")).contains("some thousand times the 1.80 kg"));
    assert!(told(line(0.8, 4.6, "")).contains("0.8 kg, where the plan has 1.80 kg"));
    let impossible = Records::read(line(1.9, 4.6, ",\"waste_kg\":5").as_bytes(), "x");
    assert_eq!(impossible.lines[0].weighed.resin_kg, None);
    assert!(impossible.notes[0].message.contains("thrown away of 4.6 kg"));
    assert!(told(line(1.9, 4.6, ",\"gelcoat_kg\":1.2,\"finished_kg\":9")).contains("came out of 7.70 kg"));
    assert!(told(line(1.9, 4.6, ",\"temperature_c\":9")).contains("laid at 9 C"));
    let other = line(1.9, 4.6, "").replace("\"glass_kg\":{\"mat 450\":1.9}", "\"glass_kg\":{\"woven 600\":1.9}");
    assert!(
        told(other.clone()).contains("\"woven 600\" is not in schedule")
            && told(other).contains("mat 450 of the schedule was not weighed")
    );
}
