use super::*;

fn line(panel: &str, more: &str) -> String {
    format!(
        "{{\"matloft_weighed\":1,\"panel\":\"{panel}\",\"make\":\"moulding\",\"date\":\"2027-03-02\",\"resin_kg\":4.5{more}}}\n"
    )
}

fn codes(records: &Records) -> Vec<&str> {
    records.notes.iter().map(|note| note.code.as_str()).collect()
}

#[test]
fn a_file_cut_at_any_byte_keeps_every_line_before() {
    let first = line("roof", "") + &line("nose", ",\"note\":\"größer\"");
    let whole = first.clone() + &line("lid", ",\"note\":\"weiß\"");
    for cut in first.len()..=whole.len() {
        let records = Records::read(&whole.as_bytes()[..cut], "body.weighed.jsonl");
        // The last line end may be missing: the record before it is whole.
        let n_whole = if cut + 1 >= whole.len() { 3 } else { 2 };
        assert_eq!(records.lines.len(), n_whole, "cut at {cut}");
        let told = if cut == first.len() || n_whole == 3 { vec![] } else { vec!["record-torn"] };
        assert_eq!(codes(&records), told, "cut at {cut}");
    }
}

#[test]
fn what_cannot_be_read_is_told_with_its_line_and_costs_no_other() {
    let text = line("roof", "")
        + "\0\0\0\0\n\n"
        + &line("nose", "").replace(":1,", ":9,")
        + &line("nose", "").replace("4.5", "-4.5")
        + &line("nose", "").replace("03-02", "02-30")
        + &line("lid", ",\"of_a_later_day\":true");
    let records = Records::read(text.as_bytes(), "body.weighed.jsonl");
    assert_eq!(records.lines.iter().map(|line| line.number).collect::<Vec<_>>(), [1, 7]);
    let broken = "record-unreadable";
    assert_eq!(codes(&records), [broken, "record-newer", broken, broken]);
    assert!(records.notes[2].message.contains("line 5") && records.notes[2].message.contains("resin_kg is -4.5"));
    assert!(records.notes[3].message.contains("no day 2027-02-30"));
}

#[test]
fn a_later_line_takes_the_place_of_an_earlier_one_and_an_empty_one_strikes_it() {
    let empty = line("lid", ",\"replaces\":2").replace(",\"resin_kg\":4.5", "");
    let text =
        line("roof", "") + &line("lid", "") + &line("roof", ",\"replaces\":1") + &empty + &line("x", ",\"replaces\":9");
    let records = Records::read(text.as_bytes(), "body.weighed.jsonl");
    assert_eq!(records.counted().map(|line| line.number).collect::<Vec<_>>(), [3, 5]);
    assert_eq!((records.lines[0].replaced_by, records.lines[1].replaced_by), (Some(3), Some(4)));
    assert_eq!(codes(&records), ["record-replaces-nothing"]);
}

/// A line of an older program, which took any figures: what cannot be is set aside, and glass and gelcoat are not lost.
#[test]
fn a_line_that_threw_away_all_it_mixed_keeps_its_other_figures() {
    let text = line("roof", ",\"waste_kg\":5.0,\"gelcoat_kg\":0.9,\"glass_kg\":{\"mat 450\":1.9}") + &line("nose", "");
    let records = Records::read(text.as_bytes(), "body.weighed.jsonl");
    assert_eq!(codes(&records), ["record-waste"]);
    assert!(records.notes[0].message.contains("line 1: 5 kg thrown away of 4.5 kg"), "{}", records.notes[0].message);
    let roof = &records.lines[0].weighed;
    assert_eq!((roof.resin_kg, roof.waste_kg, roof.gelcoat_kg), (None, None, Some(0.9)));
    assert_eq!(roof.glass_kg["mat 450"], 1.9);
    assert_eq!(records.counted().count(), 2);
}

#[test]
fn what_is_no_record_is_told_in_the_words_of_the_shop_and_without_three_hundred_digits() {
    let told = |line: &str| Records::read(format!("{line}\n").as_bytes(), "x").notes.remove(0).message;
    for line in ["[1,2,3]", "17", "\"lid\""] {
        assert!(told(line).contains("it is no record of a build") && !told(line).contains("struct"), "{}", told(line));
    }
    let far =
        "{\"matloft_weighed\":1,\"panel\":\"lid\",\"make\":\"moulding\",\"date\":\"2027-03-02\",\"resin_kg\":1e308}";
    assert!(told(far).contains("resin_kg is 1e308"), "{}", told(far));
}

/// One that an earlier version wrote stays on file, and is no build.
#[test]
fn a_line_of_waste_alone_counts_as_no_build() {
    let text = line("roof", ",\"waste_kg\":0.4").replace(",\"resin_kg\":4.5", "") + &line("nose", "");
    let records = Records::read(text.as_bytes(), "body.weighed.jsonl");
    assert_eq!(codes(&records), ["record-waste"]);
    assert!(records.lines[1].counts() && !records.lines[0].counts());
}
