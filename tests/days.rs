//! The days from the job file to the calendar: what a job may say, and what is written.

#![expect(clippy::print_stdout, reason = "what is not installed is told in full")]

mod common;

use std::process::Command;

use common::files::obj;
use common::program::Bench;
use common::shapes::plain_box;
use serde_json::Value;

const NAME: &str = r#"Bug, grün; "Käfer" mit einem Namen, der weit über fünfundsiebzig Oktette hinausreicht"#;

/// A job whose days begin in line 3.
fn job(days: &str) -> String {
    format!(
        "title = \"Körper, rund; Nr. 1\"\nunits = \"mm\"\n{days}\n[[part]]\nname = '{NAME}'\nfile = \"box.obj\"\nquantity = 2\nbase = \"auto\"\n"
    )
}

fn bench(days: &str) -> Bench {
    Bench::new().with("job.toml", job(days)).with("box.obj", obj(&plain_box([300.0, 200.0, 500.0])))
}

fn plan(bench: &Bench) -> Value {
    let ran = bench.run(["plan", "job.toml", "--out", "out", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    ran.json()
}

fn list<'a>(value: &'a Value, key: &str) -> &'a [Value] {
    value[key].as_array().unwrap_or_else(|| panic!("no list {key} in {value}"))
}

fn text<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or_else(|| panic!("no text {key} in {value}"))
}

fn has_note(plan: &Value, code: &str) -> bool {
    list(plan, "notes").iter().any(|note| note["code"] == code)
}

const HOURS: &str = r#"[days]
start = 2027-03-01
hours = [{ days = ["mon", "wed", "sat"], from = "17:00", to = "22:00" }]
away = [{ from = 2027-03-08, to = "2027-03-14" }]
"#;

#[test]
fn the_days_keep_to_the_hours_of_the_job_and_the_days_away() {
    let plan = plan(&bench(HOURS));
    let days = &plan["days"];
    let evenings = list(days, "evenings");
    assert!(evenings.len() > 8, "{}", evenings.len());
    for evening in evenings {
        assert!(["Mon", "Wed", "Sat"].contains(&text(evening, "weekday")), "{evening}");
        assert!(!("2027-03-08"..="2027-03-14").contains(&text(evening, "date")), "away: {evening}");
        assert_eq!((text(evening, "from"), text(evening, "to")), ("17:00", "22:00"));
    }
    assert_eq!(days["working"]["told"], true);
    assert!(!has_note(&plan, "hours-assumed"));
    for task in list(days, "tasks") {
        for wait in list(task, "waits") {
            assert!(wait["waited_min"].as_u64() >= wait["least_min"].as_u64(), "{task}");
        }
    }
}

#[test]
fn without_hours_and_start_it_is_said_what_is_assumed_and_there_is_no_calendar() {
    let bench = bench(HOURS);
    plan(&bench);
    assert!(bench.path("out/days.ics").is_file());
    let bench = bench.with("job.toml", job(""));
    let plan = plan(&bench);
    assert!(has_note(&plan, "hours-assumed") && has_note(&plan, "start-not-told"));
    assert!(!bench.path("out/days.ics").exists(), "the calendar of the older plan is gone");
    assert_eq!(plan["days"]["last_date"], Value::Null);
}

#[test]
fn the_table_has_a_row_for_every_sitting() {
    let bench = bench(HOURS);
    let plan = plan(&bench);
    let mut table = csv::Reader::from_path(bench.path("out/days.csv")).expect("the table");
    let heads = table.headers().expect("heads").clone();
    let column = |name: &str| heads.iter().position(|head| head == name).unwrap_or_else(|| panic!("{name}: {heads:?}"));
    let (words, minutes, key) = (column("what"), column("minutes"), column("task"));
    let rows: Vec<csv::StringRecord> = table.records().map(|row| row.expect("a row")).collect();
    let tasks = list(&plan["days"], "tasks");
    for task in tasks {
        let own: Vec<_> = rows.iter().filter(|row| row.get(key) == Some(text(task, "key"))).collect();
        assert_eq!(own.len(), list(task, "parts").len(), "{task}");
        assert!(own.iter().all(|row| row.get(words) == Some(text(task, "words"))));
        let minutes: u64 = own.iter().filter_map(|row| row.get(minutes)?.parse::<u64>().ok()).sum();
        assert_eq!(Some(minutes), task["minutes"].as_u64());
    }
    assert!(rows.iter().all(|row| row.get(column("date")).is_some_and(|date| date.starts_with("2027-"))));
}

/// Events as JSON, by PyPI `icalendar`.
const READER: &str = "import sys, json, icalendar
calendar = icalendar.Calendar.from_ical(open(sys.argv[1], 'rb').read())
events = [dict(uid=str(e['UID']), start=e['DTSTART'].dt.isoformat(), end=e['DTEND'].dt.isoformat(),
    summary=str(e['SUMMARY']), description=str(e['DESCRIPTION'])) for e in calendar.walk('VEVENT')]
print(json.dumps(events))";

/// What another reader finds in a calendar; nothing if it is not installed.
fn read_by_another(bench: &Bench) -> Option<Vec<Value>> {
    let python = std::env::var_os("MATLOFT_TEST_PYTHON").unwrap_or_else(|| "python3".into());
    let installed = Command::new(&python).args(["-c", "import icalendar"]).output();
    if !installed.is_ok_and(|output| output.status.success()) {
        println!("icalendar is not installed for the Python that MATLOFT_TEST_PYTHON names: not compared");
        return None;
    }
    let output = Command::new(&python).args(["-c", READER]).arg(bench.path("out/days.ics")).output().expect("it runs");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    Some(serde_json::from_slice(&output.stdout).expect("JSON"))
}

/// One event an evening, each with a name of its own, in floating local time, with the text that the plan has: commas,
/// semicolons, quotes, umlauts and lines longer than 75 octets come through.
#[test]
fn another_reader_of_calendars_reads_the_evenings() {
    let bench = bench(HOURS);
    let plan = plan(&bench);
    let Some(events) = read_by_another(&bench) else { return };
    let evenings = list(&plan["days"], "evenings");
    assert_eq!(events.len(), evenings.len());
    for (event, evening) in events.iter().zip(evenings) {
        let rows = list(evening, "rows");
        let first = rows.iter().map(|row| text(row, "from")).min().expect("a row");
        assert_eq!(text(event, "start"), format!("{}T{first}:00", text(evening, "date")));
        let line =
            |row| format!("{}-{} {}: {}", text(row, "from"), text(row, "to"), text(row, "about"), text(row, "words"));
        let lines: Vec<String> = rows.iter().map(line).collect();
        assert_eq!(text(event, "description"), lines.join("\n"));
    }
    assert!(events.iter().any(|event| text(event, "summary").contains(NAME)));
    let uids: std::collections::BTreeSet<&str> = events.iter().map(|event| text(event, "uid")).collect();
    assert_eq!(uids.len(), events.len());
}

#[test]
fn what_cannot_be_in_the_days_is_told_with_its_line() {
    for (days, words) in [
        ("[days]\nstart = \"1 March\"", "write year, month and day as 2027-03-01"),
        ("[days]\nhours = [{ days = [\"sat\"], from = \"18:30\", to = \"09:00\" }]", "write a night as two"),
        ("[days]\nhours = [{ days = [\"sunday\"], from = \"08:30\", to = \"09:00\" }]", "\"sun\""),
        ("[days]\nhours = [{ days = [\"sat\"], from = 9, to = \"12:00\" }]", "a time such as \"18:30\""),
        ("[days]\naway = [{ from = 2027-04-02, to = 2027-04-01 }]", "ends before it begins"),
        ("[days]\nhours = [{ days = [\"sat\"], from = \"18:30\", to = \"25:30\" }]", "25:30"),
        ("[crew]\npeople = 1.5", "[crew]: `people` is 1.5, it must be a whole number of people, 1 or more"),
        ("[days]\naway = \"April\"", "a list"),
        ("[days]\nwax_m2_h = 0", "0.01 or more"),
        ("[days]\nwaxes = 3", "`waxes` is not a key of [days]"),
        ("[shop]\nflange_mm = 2027-04-01", "the date 2027-04-01"),
    ] {
        let ran = bench(days).run(["check", "job.toml"]);
        assert_eq!(ran.code, 2, "{days}: {}", ran.out);
        let told = format!("{}{}", ran.out, ran.err);
        assert!(told.contains(words), "{days}: {told}");
        assert!(told.contains("job.toml:4"), "{days}: {told}");
    }
}

/// Colder than anything is mixed: no lay-up is planned, and both commands say which, why and what to change.
#[test]
fn a_cold_shop_has_no_lay_ups_in_its_days() {
    let bench = bench("[shop]\ntemperature_c = 5");
    let plan = plan(&bench);
    assert!(list(&plan["days"], "tasks").is_empty(), "{}", plan["days"]["tasks"]);
    let unplanned = &plan["days"]["unplanned"][0];
    assert!(unplanned.as_str().is_some_and(|text| text.ends_with("(mould and moulding)")), "{unplanned}");
    let told = &list(&plan["days"], "does_not_fit")[0];
    assert!(text(told, "reason").contains("at 5 C nothing is mixed"), "{told}");
    assert!(told["remedies"].to_string().contains("18 C or more"), "{told}");
    let ran = bench.run(["check", "job.toml"]);
    assert!(ran.out.contains("at 5 C nothing is mixed") && ran.out.contains("18 C or more"), "{}", ran.out);
    assert!(ran.out.contains(NAME), "{}", ran.out);
}

/// The starter's putty has gel times from 18 C on: `check` knows it before the plan does.
#[test]
fn a_shop_too_cool_for_the_putty_is_told_by_check_as_by_the_plan() {
    let bench = bench("[shop]\ntemperature_c = 17");
    let plan = plan(&bench);
    let told = &list(&plan["days"], "does_not_fit")[0];
    assert!(text(told, "reason").contains("putty \"fillet putty\" cannot be mixed"), "{told}");
    let ran = bench.run(["check", "job.toml"]);
    assert!(ran.out.contains("putty \"fillet putty\", where corners are filled, cannot be mixed"), "{}", ran.out);
}

/// Longest a person lifts alone is 1800 mm: 1750 mm with 75 mm of flange at either end are more, the moulding is less. Sheet
/// and days say the same.
#[test]
fn a_mould_is_lifted_with_its_flanges_in_the_plan_as_in_the_days() {
    let bench = Bench::new().with("job.toml", job("")).with("box.obj", obj(&plain_box([1750.0, 150.0, 100.0])));
    let plan = plan(&bench);
    let builds = list(&plan["parts"][0], "builds");
    let of_plan: Vec<&str> = builds.iter().map(|build| text(&build["pieces"][0]["release"], "lifted_by")).collect();
    assert_eq!(of_plan, ["two", "one"], "mould and moulding");
    let releases = list(&plan["days"], "tasks").iter().filter(|task| task["kind"] == "release");
    let of_days: Vec<u64> =
        releases.map(|task| task["hands"].as_u64().unwrap_or(0) + task["helpers"].as_u64().unwrap_or(0)).collect();
    assert_eq!(of_days, [2, 1, 1]);
}

/// Gel times from 15 to 35 C for everything that a plain job mixes.
const WIDE_TABLES: &str = r#"
[stock.gelcoat."mould gelcoat"]
gel_min = [{ temperature_c = 15, catalyst_percent = 1.5, min = 28 }, { temperature_c = 35, catalyst_percent = 1.5, min = 14 }]
[stock.gelcoat."production gelcoat"]
gel_min = [{ temperature_c = 15, catalyst_percent = 1.5, min = 28 }, { temperature_c = 35, catalyst_percent = 1.5, min = 14 }]
[stock.filler."fillet putty"]
gel_min = [{ temperature_c = 15, catalyst_percent = 2, min = 8 }, { temperature_c = 35, catalyst_percent = 2, min = 4 }]
[stock.resin.polyester]
gel_min = [{ temperature_c = 15, catalyst_percent = 1.5, min = 36 }, { temperature_c = 35, catalyst_percent = 1.5, min = 14 }]
"#;

/// So hot that styrene's vapour can explode: no mix and no day, though the tables go there.
#[test]
fn a_hot_shop_has_no_mixes_and_no_days() {
    let hot = bench(&format!("[shop]\ntemperature_c = 33\n{WIDE_TABLES}"));
    let planned = plan(&hot);
    assert!(list(&planned["days"], "tasks").is_empty(), "{}", planned["days"]["tasks"]);
    assert!(has_note(&planned, "hot-shop"));
    for material in list(&planned["mixes"], "materials") {
        assert!(text(&material["refused"], "why").contains("31 C"), "{material}");
    }
    let told = &list(&planned["days"], "does_not_fit")[0];
    assert!(text(told, "reason").contains("can explode"), "{told}");
    assert!(told["remedies"].to_string().contains("25 C or less"), "{told}");
    let ran = hot.run(["check", "job.toml"]);
    assert!(ran.out.contains("no day is planned for") && ran.out.contains("25 C or less"), "{}", ran.out);
    // At 30 C all of it is planned.
    let warm = plan(&bench(&format!("[shop]\ntemperature_c = 30\n{WIDE_TABLES}")));
    assert!(!list(&warm["days"], "tasks").is_empty() && !has_note(&warm, "hot-shop"));
}

/// 48 h of cure are for 18 C: at 16 C the days say with every piece what the wall sheet says.
#[test]
fn a_cool_shop_is_told_to_hold_what_cures_at_18_c() {
    let bench = bench(&format!("[shop]\ntemperature_c = 16\n{WIDE_TABLES}"));
    let planned = plan(&bench);
    let note = list(&planned, "notes").iter().find(|note| note["code"] == "cool-cure").expect("it is told");
    assert!(text(note, "remedy").contains("18 C") && text(note, "remedy").contains("heated tent"), "{note}");
    let lays = |task: &&Value| task["kind"] == "lay" && text(task, "words").contains("hold it at 18 C or more");
    let held: Vec<&Value> = list(&planned["days"], "tasks").iter().filter(lays).collect();
    // The mould, and two mouldings.
    assert_eq!(held.len(), 3, "{held:?}");
    let warm = plan(&bench.with("job.toml", job("[shop]\ntemperature_c = 18")));
    assert!(!list(&warm["days"], "tasks").iter().any(|task| lays(&task)) && !has_note(&warm, "cool-cure"));
}

/// What is not mixed for want of gel times is laid on no evening.
#[test]
fn a_resin_without_gel_times_is_laid_on_no_evening() {
    let schedule = "[schedule.mould]\nmake = \"mould\"\ngelcoat = \"mould gelcoat\"\nresin = \"vinyl ester\"\n\
                    layers = [{ material = \"mat 225\" }, { material = \"mat 450\", plies = 4 }]";
    let bench = bench(schedule);
    let planned = plan(&bench);
    assert!(list(&planned["days"], "tasks").is_empty(), "{}", planned["days"]["tasks"]);
    let told = &list(&planned["days"], "does_not_fit")[0];
    assert!(text(told, "reason").contains("resin \"vinyl ester\" cannot be mixed: there is no table"), "{told}");
    assert!(told["remedies"].to_string().contains("its gel times under [stock.resin."), "{told}");
    let ran = bench.run(["check", "job.toml"]);
    assert!(ran.out.contains("no day is planned for"), "{}", ran.out);
}

/// One figure for how long a mould stays on its plug: on its wall sheet, on the supplier's, and in the days.
#[test]
fn a_mould_cures_as_long_on_its_wall_sheet_as_in_the_days() {
    let bench = bench("[days]\nmould_cure_h = 200");
    let planned = plan(&bench);
    assert_eq!(planned["days"]["mould_cure_h"], 200.0);
    let waits = list(&planned["days"], "tasks").iter().flat_map(|task| list(task, "waits"));
    let waits: Vec<u64> =
        waits.filter(|wait| wait["why"] == "mould-cure").filter_map(|w| w["least_min"].as_u64()).collect();
    assert!(!waits.is_empty() && waits.iter().all(|&least_min| least_min == 200 * 60), "{waits:?}");
    let page = std::fs::read_to_string(bench.path("out/report.html")).expect("the page");
    let n_told = page.matches("data-at=\"/days/mould_cure_h\"").count();
    assert!(n_told >= 3, "wall sheet, supplier's sheet and its question: {n_told}");
    // A mould never cures shorter than any laminate.
    let short = plan(&bench.with("job.toml", job("[days]\nmould_cure_h = 20")));
    assert_eq!(short["days"]["mould_cure_h"], 48.0);
}
