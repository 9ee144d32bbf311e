use super::*;
use crate::laminate::schedule::Make;
use crate::workshop::record::line::VERSION;

fn weighed(panel: &str) -> Weighed {
    Weighed {
        matloft_weighed: VERSION,
        panel: panel.to_owned(),
        make: Make::Moulding,
        piece: None,
        date: "2027-03-02".to_owned(),
        temperature_c: Some(18.5),
        glass_kg: [("mat 450".to_owned(), 1.82)].into(),
        resin_kg: Some(4.5),
        waste_kg: None,
        gelcoat_kg: None,
        finished_kg: None,
        minutes: None,
        people: None,
        note: Some("two lines\nin one".to_owned()),
        is_sure: false,
        replaces: None,
        asked: None,
    }
}

fn put(path: &Path, panel: &str) -> usize {
    append(path, &weighed(panel), |_| Ok(())).expect("it is written")
}

fn panels(path: &Path) -> Vec<String> {
    let records = read(path).expect("it is read").expect("it is there");
    records.lines.into_iter().map(|line| line.weighed.panel).collect()
}

/// A power cut leaves a file with any part of the last line. Every earlier record stays readable, and the next one is kept.
#[test]
fn a_power_cut_at_any_byte_of_an_append_costs_no_other_record() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("body.weighed.jsonl");
    assert_eq!((put(&path, "roof"), put(&path, "nose")), (1, 2));
    let before = std::fs::read(&path).expect("the file").len();
    assert_eq!(put(&path, "lid"), 3);
    let whole = std::fs::read(&path).expect("the file");
    for cut in before..whole.len() {
        std::fs::write(&path, &whole[..cut]).expect("it is cut");
        let is_whole = cut + 1 == whole.len();
        assert_eq!(
            panels(&path),
            if is_whole { vec!["roof", "nose", "lid"] } else { vec!["roof", "nose"] },
            "at {cut}"
        );
        let number = put(&path, "hatch");
        assert_eq!(number, if cut == before { 3 } else { 4 }, "at {cut}");
        let kept = panels(&path);
        assert_eq!(
            (kept[0].as_str(), kept[1].as_str(), kept.last().map(String::as_str)),
            ("roof", "nose", Some("hatch"))
        );
        // Not a byte of what stood there has changed.
        assert!(std::fs::read(&path).expect("the file").starts_with(&whole[..cut]));
    }
}

#[test]
fn many_writers_at_once_lose_no_line_and_no_number() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("body.weighed.jsonl");
    let numbers: Vec<usize> = std::thread::scope(|scope| {
        let writer = |number: usize| {
            let path = &path;
            scope.spawn(move || (0..25).map(|k| put(path, &format!("{number}-{k}"))).collect::<Vec<_>>())
        };
        let writers: Vec<_> = (0..8).map(writer).collect();
        writers.into_iter().flat_map(|writer| writer.join().expect("it ends")).collect()
    });
    let mut sorted = numbers;
    sorted.sort_unstable();
    assert_eq!(sorted, (1..=200).collect::<Vec<_>>());
    let mut kept = panels(&path);
    kept.sort();
    kept.dedup();
    assert_eq!(kept.len(), 200);
}

#[test]
fn what_is_refused_leaves_the_file_as_it_was() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("body.weighed.jsonl");
    put(&path, "roof");
    let before = std::fs::read(&path).expect("the file");
    let refused = append(&path, &weighed("lid"), |records| {
        assert_eq!(records.lines.len(), 1);
        Err(fault(&path, "no".to_owned(), ""))
    });
    assert_eq!(refused.expect_err("it is refused").message, "no");
    assert_eq!(std::fs::read(&path).expect("the file"), before);
}

#[test]
fn the_file_is_called_after_the_job() {
    assert_eq!(beside(Path::new("a/body.v2.toml")), Path::new("a/body.v2.weighed.jsonl"));
    assert_eq!(read(Path::new("nowhere/body.weighed.jsonl")), Ok(None));
}
