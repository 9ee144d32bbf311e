//! The report against the plan that it shows: every figure of the page, and every sum.

mod common;

use std::collections::BTreeSet;
use std::sync::OnceLock;

use common::files::{binary_stl, obj};
use common::program::{Bench, fixture};
use common::shapes::{lipped_hood, plain_box};
use serde_json::Value;

/// The page and the plan of one run.
struct Report {
    page: String,
    plan: Value,
}

/// The demo's, made once.
fn demo() -> &'static Report {
    static DEMO: OnceLock<Report> = OnceLock::new();
    DEMO.get_or_init(|| {
        let bench = Bench::new();
        let job = fixture("demo/teardrop.toml");
        let ran = bench.run(["plan".as_ref(), job.as_os_str(), "--out".as_ref(), "out".as_ref()]);
        assert_eq!(ran.code, 0, "{}", ran.err);
        written(&bench)
    })
}

fn written(bench: &Bench) -> Report {
    let text = |name: &str| std::fs::read_to_string(bench.path("out").join(name)).expect("the file was written");
    let plan = serde_json::from_str(&text("plan.json")).expect("JSON");
    Report { page: text("report.html"), plan }
}

/// A figure as the page shows it: whole, where the plan has it, and rounded.
#[derive(Debug)]
struct Shown {
    value: String,
    at: String,
    text: String,
}

/// Every figure of the page: `data` elements, and in drawings whatever text carries a figure.
fn shown(page: &str) -> Vec<Shown> {
    let figure = |rest: &str| {
        let (at, rest) = rest.split_once("\">").expect("the element's own text follows its place");
        let (text, _) = rest.split_once("</").expect("the element ends");
        (plain(at), plain(text))
    };
    let mut all = Vec::new();
    let mut rest = page;
    while let Some((before, after)) = rest.split_once("\" data-at=\"") {
        let (_, value) = before.rsplit_once("value=\"").expect("a value stands before each place");
        let (at, text) = figure(after);
        all.push(Shown { value: plain(value), at, text });
        rest = after;
    }
    all
}

fn plain(text: &str) -> String {
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
}

/// What is wrong with a figure of the page, if anything.
fn fault(shown: &Shown, plan: &Value) -> Option<String> {
    let Some(in_plan) = plan.pointer(&shown.at).and_then(Value::as_f64) else {
        return Some(format!("the plan has no number there: {shown:?}"));
    };
    let value: f64 = match shown.value.parse() {
        Ok(value) => value,
        Err(_) => return Some(format!("no number: {shown:?}")),
    };
    if value.to_bits() != in_plan.to_bits() {
        return Some(format!("the plan has {in_plan}: {shown:?}"));
    }
    let decimals = shown.text.split_once('.').map_or(0, |(_, digits)| digits.len());
    let rounded = format!("{value:.decimals$}");
    let is_nothing = rounded.chars().all(|letter| "-0.".contains(letter));
    let rounded = if is_nothing { rounded.trim_start_matches('-').to_owned() } else { rounded };
    (rounded != shown.text).then(|| format!("rounds to {rounded}: {shown:?}"))
}

/// Source: plan.json of the same run.
#[test]
fn every_figure_on_the_page_is_the_plans_own_and_rightly_rounded() {
    let Report { page, plan } = demo();
    let shown = shown(page);
    assert!(shown.len() > 5000, "{}", shown.len());
    let faults: Vec<String> = shown.iter().filter_map(|shown| fault(shown, plan)).take(10).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn the_figures_that_matter_are_all_on_the_page() {
    let Report { page, plan } = demo();
    let shown: BTreeSet<String> = shown(page).into_iter().map(|shown| shown.at).collect();
    let mut wanted: Vec<String> = Vec::new();
    for key in ["area_m2", "glass_kg", "resin_kg", "gelcoat_kg", "catalyst_ml", "moulds_kg", "mouldings_kg"] {
        wanted.push(format!("/totals/{key}"));
    }
    for (index, need) in list(&plan["order"]).iter().enumerate() {
        let measured = match need["measure"].as_str() {
            Some("m") if need["kind"] == "reinforcement" => vec!["kg_with_reserve", "roll_m_with_reserve"],
            Some("m") => vec!["m_with_reserve"],
            Some("m2") if need["kind"] == "core" => vec!["kg_with_reserve"],
            Some("m2") => vec!["m2_with_reserve"],
            Some("litres") => vec!["litres_with_reserve"],
            Some("pieces") => vec!["pieces_with_reserve"],
            _ => vec!["kg_with_reserve"],
        };
        wanted.extend(measured.iter().map(|key| format!("/order/{index}/{key}")));
    }
    for (index, _) in list(&plan["figures"]).iter().enumerate() {
        wanted.extend(["value", "low", "high"].map(|key| format!("/figures/{index}/{key}")));
    }
    for (number, part) in list(&plan["parts"]).iter().enumerate() {
        let part_at = format!("/parts/{number}");
        wanted.push(format!("{part_at}/area_m2"));
        for (number, build) in list(&part["builds"]).iter().enumerate() {
            let build_at = format!("{part_at}/builds/{number}");
            wanted.extend(["mass_kg", "n_plies_everywhere", "n_corners"].map(|key| format!("{build_at}/{key}")));
            for (number, piece) in list(&build["pieces"]).iter().enumerate() {
                let piece_at = format!("{build_at}/pieces/{number}");
                wanted.extend(["area_m2", "mass_kg", "gelcoat_kg"].map(|key| format!("{piece_at}/{key}")));
                for (number, _) in list(&piece["plies"]).iter().enumerate() {
                    let keys = ["laid_m2", "glass_kg", "resin_kg", "thickness_mm"];
                    wanted.extend(keys.map(|key| format!("{piece_at}/plies/{number}/{key}")));
                }
                for (number, _) in list(&piece["corners"]).iter().enumerate() {
                    let keys = ["radius_mm", "turn_deg", "length_mm"];
                    wanted.extend(keys.map(|key| format!("{piece_at}/corners/{number}/{key}")));
                }
                let of_pull =
                    ["least_draft_deg", "undercut_m2", "undercut_clipped_m2", "shadowed_m2", "under_wanted_m2"];
                wanted.extend(of_pull.map(|key| format!("{piece_at}/pull/{key}")));
                wanted.extend((0..3).map(|axis| format!("{piece_at}/pull/direction/{axis}")));
                wanted.extend(["near_zero_m2", "n_wedges"].map(|key| format!("{piece_at}/release/{key}")));
                for (number, _) in list(&piece["pull"]["undercuts"]).iter().take(12).enumerate() {
                    let keys = ["area_m2", "at_mm/0", "depth_mm", "height_mm"];
                    wanted.extend(keys.map(|key| format!("{piece_at}/pull/undercuts/{number}/{key}")));
                }
                for (number, _) in list(&piece["workings"]).iter().enumerate() {
                    wanted.push(format!("{piece_at}/workings/{number}/result"));
                }
            }
            for (number, _) in list(&build["finished"]["lines"]).iter().enumerate() {
                wanted.push(format!("{build_at}/finished/lines/{number}/kg"));
                wanted.push(format!("{build_at}/finished/mass_kg"));
            }
        }
    }
    for (number, plug) in list(&plan["takes"]["plugs"]).iter().enumerate() {
        for (line, _) in list(&plug["lines"]).iter().enumerate() {
            let keys = ["amount", "amount_range/low", "amount_range/high"];
            wanted.extend(keys.map(|key| format!("/takes/plugs/{number}/lines/{line}/{key}")));
        }
    }
    wanted.extend((0..list(&plan["takes"]["gaps"]).len()).map(|number| format!("/takes/gaps/{number}/gap_mm")));
    let missing: Vec<&String> = wanted.iter().filter(|at| !shown.contains(*at)).take(10).collect();
    assert!(wanted.len() > 1000 && missing.is_empty(), "{missing:?}");
}

fn list(value: &Value) -> &[Value] {
    value.as_array().map_or(&[], Vec::as_slice)
}

/// One step of a sum: the sign before a number, and the number.
type Step = (char, f64);

/// The numbers of a printed line, with their signs, and its printed result with the number of its decimals.
fn read_line(line: &str) -> (Vec<Step>, f64, usize) {
    let (sum, result) = line.rsplit_once(" = ").expect("a result");
    let mut steps = Vec::new();
    let mut sign = '+';
    for word in sum.split(' ') {
        match word {
            "+" | "-" | "x" | "÷" => sign = word.chars().next().expect("a sign"),
            // Units are no numbers, and no number stands in them alone.
            _ => steps.extend(word.parse::<f64>().ok().map(|number| (sign, number))),
        }
    }
    let result = result.split(' ').next().expect("a number");
    let decimals = result.split_once('.').map_or(0, |(_, digits)| digits.len());
    (steps, result.parse().expect("a number"), decimals)
}

/// Products before sums, as a person with a pocket calculator and its memory keys does it.
fn redone(steps: &[Step]) -> f64 {
    let (mut memory, mut display) = (0.0, 0.0);
    for &(sign, number) in steps {
        match sign {
            '+' => (memory, display) = (memory + display, number),
            '-' => (memory, display) = (memory + display, -number),
            'x' => display *= number,
            _ => display /= number,
        }
    }
    memory + display
}

/// Every item of the plan that has sums, with where it is.
fn with_workings<'a>(value: &'a Value, at: &str, found: &mut Vec<(String, &'a Value)>) {
    match value {
        Value::Object(members) => {
            if members.contains_key("workings") {
                found.push((at.to_owned(), value));
            }
            members.iter().for_each(|(key, member)| with_workings(member, &format!("{at}/{key}"), found));
        }
        Value::Array(items) => {
            items.iter().enumerate().for_each(|(index, item)| with_workings(item, &format!("{at}/{index}"), found));
        }
        _ => {}
    }
}

/// Source: the lines themselves, redone from their printed digits and from the unrounded numbers.
#[test]
fn every_sum_can_be_redone_by_pocket_calculator() {
    let mut items = Vec::new();
    with_workings(&demo().plan, "", &mut items);
    let mut n_lines = 0;
    for (at, item) in &items {
        for working in list(&item["workings"]) {
            let line = working["line"].as_str().expect("a line");
            let (steps, printed, decimals) = read_line(line);
            let last_digit = 0.1f64.powi(i32::try_from(decimals).expect("few decimals"));
            let off = (redone(&steps) - printed).abs();
            assert!(off <= 1.0001 * last_digit, "{at}: {line}: {}", redone(&steps));

            let result = working["result"].as_f64().expect("a number");
            let terms: Vec<f64> = list(&working["terms"]).iter().filter_map(Value::as_f64).collect();
            assert_eq!(terms.len(), steps.len(), "{at}: {line}");
            let whole: Vec<Step> = steps.iter().zip(&terms).map(|(&(sign, _), &term)| (sign, term)).collect();
            let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs().max(1.0);
            assert!(near(redone(&whole), result), "{at}: {line}: {} and {result}", redone(&whole));

            let of = working["of"].as_str().expect("a place");
            let quantity = item.pointer(&format!("/{of}")).and_then(Value::as_f64);
            assert!(quantity.is_some_and(|quantity| near(quantity, result)), "{at}/{of}: {quantity:?} and {result}");
            n_lines += 1;
        }
    }
    assert!(n_lines > 1000, "{n_lines}");
}

#[test]
fn decisions_come_in_the_order_in_which_they_have_to_be_settled() {
    let order = ["part-doubtful", "openings-and-sides", "held", "not-as-written", "first-ply", "rest"];
    let classes: Vec<usize> = list(&demo().plan["decisions"])
        .iter()
        .map(|decision| order.iter().position(|class| decision["class"] == *class).expect("a class of the six"))
        .collect();
    assert!(classes.len() > 20 && classes.is_sorted(), "{classes:?}");
    let headings = ["decide-1", "decide-2", "decide-3", "decide-5", "decide-6"]
        .map(|id| demo().page.find(&format!("id=\"{id}\"")));
    assert!(headings.iter().all(Option::is_some) && headings.is_sorted(), "{headings:?}");
}

/// Names that would run, or break out of where they stand, if they were not text.
const HOSTILE: [&str; 4] = [
    "<script>alert(1)</script>",
    "\"><img src=x onerror=alert(2)>",
    "</script></style></textarea>",
    "\u{202e}Tür & Söhne' <b>",
];

/// A tray of one part, whose every name is hostile.
fn hostile() -> Report {
    let mut tray = plain_box([900.0, 500.0, 120.0]);
    // Its lid is left out.
    tray.retain(|triangle| !triangle.iter().all(|corner| corner[2] == 120.0));
    let mesh = format!("o {}\n{}", HOSTILE[0].replace(' ', "_"), obj(&tray));
    let file = "tray & <i>.obj";
    let quoted = |text: &str| serde_json::to_string(text).expect("a string");
    let job = format!(
        "title = {title}\nunits = \"mm\"\n[[part]]\nname = {name}\nfile = {file}\nobject = {object}\nmoulding = {schedule}\n\
         [[part.split]]\nname = {split}\nof = \"both\"\naxis = \"x\"\nat_mm = 450\n\
         [schedule.{schedule}]\nmake = \"moulding\"\nresin = {resin}\nlayers = [{{ material = {mat}, name = {ply} }}]\n\
         [stock.resin.{resin}]\nfamily = \"polyester\"\nliquid_density_g_ml = 1.1\ncured_density_g_cm3 = 1.2\n\
         catalyst_percent = 2\ncatalyst_density_g_ml = 1.18\n\
         [stock.reinforcement.{mat}]\nkind = \"mat\"\nbinder = \"powder\"\nnext_to_gelcoat = true\nareal_weight_g_m2 = 300\n\
         glass_density_g_cm3 = 2.5\nresin_per_glass = {{ value = 2.5, source = {source}, mark = \"published\" }}\n\
         inside_limit_mm = 5\noutside_limit_mm = 3\nlap_mm = 40\n",
        title = quoted(HOSTILE[2]),
        name = quoted(HOSTILE[1]),
        file = quoted(file),
        object = quoted(HOSTILE[0]),
        schedule = quoted(HOSTILE[3]),
        split = quoted(HOSTILE[0]),
        resin = quoted(HOSTILE[1]),
        mat = quoted(HOSTILE[2]),
        ply = quoted(HOSTILE[0]),
        source = quoted(HOSTILE[1]),
    );
    let bench = Bench::new().with(file, mesh).with("job.toml", job);
    let ran = bench.run(["plan", "job.toml", "--out", "out"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    written(&bench)
}

#[test]
fn hostile_names_come_out_as_text() {
    let Report { page, plan } = hostile();
    assert_eq!(plan["parts"][0]["name"], HOSTILE[1]);
    // What the view and the scene bring is no markup of ours; each is one element, and the page closes each once.
    let without_scripts = without_scripts(&page);
    for tag in ["<script", "<img src=x", "Söhne' <b>", "<i>.obj", "</script", "</textarea"] {
        assert_eq!(without_scripts.find(tag), None, "{tag}");
    }
    for name in HOSTILE {
        let escaped = name.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;");
        assert!(page.contains(&escaped), "{name} is nowhere on the page");
    }
    let faults: Vec<String> = shown(&page).iter().filter_map(|shown| fault(shown, &plan)).take(5).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// The page with the contents of its script elements left out; it must have the two that belong there.
fn without_scripts(page: &str) -> String {
    let mut rest = page;
    let mut kept = String::new();
    let mut n_scripts = 0;
    while let Some((before, after)) = rest.split_once("<script") {
        kept.push_str(before);
        let (head, after) = after.split_once('>').expect("the tag ends");
        let is_known = head.is_empty() || head == " type=\"text/plain\" id=\"scene\"";
        assert!(is_known, "a script that does not belong there: <script{head}>");
        rest = after.split_once("</script>").expect("it ends").1;
        n_scripts += 1;
    }
    assert_eq!(n_scripts, 2);
    kept + rest
}

#[test]
fn the_page_of_the_demo_has_no_script_but_the_views_and_asks_for_nothing() {
    let kept = without_scripts(&demo().page);
    for outside in ["src=\"http", "href=\"http", "url(http", "@import", " on"] {
        let found = kept.match_indices(outside).find(|(at, _)| {
            // An attribute that runs something: ` onload="`.
            outside != " on"
                || kept[at + 1..].split(['=', ' ']).next().is_some_and(|word| {
                    kept[at + 1 + word.len()..].starts_with("=\"") && word.bytes().all(|byte| byte.is_ascii_lowercase())
                })
        });
        assert_eq!(found, None, "{outside}");
    }
    assert!(kept.contains("default-src 'none'"));
}

#[test]
fn an_incomplete_plan_says_so_beside_every_total() {
    let tray = plain_box([900.0, 500.0, 120.0]);
    let tray: Vec<_> = tray.into_iter().filter(|triangle| !triangle.iter().all(|corner| corner[2] == 120.0)).collect();
    let job = "title = \"Tray\"\nunits = \"mm\"\n[[part]]\nname = \"tray\"\nfile = \"tray.obj\"\n\
               [[part]]\nname = \"lost lid\"\nfile = \"lid.stl\"\n";
    let bench = Bench::new().with("tray.obj", obj(&tray)).with("job.toml", job);
    let ran = bench.run(["plan", "job.toml", "--out", "out"]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    let Report { page, plan } = written(&bench);
    assert_eq!(plan["complete"], false);
    let glance =
        page.split("id=\"glance\"").nth(1).and_then(|rest| rest.split("</section>").next()).expect("a section");
    assert!(glance.contains("Missing from every total: <bdi>lost lid</bdi>"), "{glance}");
    let n_totals = 7 + 1 + list(&plan["order"]).len();
    assert_eq!(glance.matches(">incomplete<").count(), n_totals);
    assert_eq!(plan["decisions"][0]["code"], "panel-failed");
}

/// A hood that locks, with a name that has to be escaped.
fn locked() -> Report {
    let job = "title = \"Hood\"\nunits = \"mm\"\n[[part]]\nname = \"hood <lip>\"\nfile = \"hood.stl\"\n";
    let bench = Bench::new().with("hood.stl", binary_stl(&lipped_hood())).with("job.toml", job);
    let ran = bench.run(["plan", "job.toml", "--out", "out"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    written(&bench)
}

#[test]
fn a_mould_that_locks_says_so_and_where_to_split_with_lines_that_can_be_pasted() {
    let Report { page, plan } = locked();
    let faults: Vec<String> = shown(&page).iter().filter_map(|shown| fault(shown, &plan)).take(5).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    let release = &plan["parts"][0]["builds"][0]["pieces"][0]["release"];
    assert_eq!(release["answer"], "locks");
    assert!(page.contains("The mould locks.") && page.contains("It locks as planned"), "block and sheets");
    let shown: BTreeSet<String> = shown(&page).into_iter().map(|shown| shown.at).collect();
    let proposals = list(&release["split"]["proposals"]);
    for (number, proposal) in proposals.iter().enumerate() {
        let at = format!("/parts/0/builds/0/pieces/0/release/split/proposals/{number}");
        let of_pieces =
            (0..list(&proposal["pieces"]).len()).map(|piece| format!("{at}/pieces/{piece}/pull/least_draft_deg"));
        for wanted in of_pieces.chain(["cut_length_mm", "flanges_m2"].map(|key| format!("{at}/{key}"))) {
            assert!(shown.contains(&wanted), "{wanted}");
        }
        let lines = proposal["job_lines"].as_str().expect("lines");
        assert!(page.contains(&lines.replace('"', "&quot;")), "{lines}");
    }
    // Pasted, the lines of the best part the mould, and both pieces come off.
    let lines = proposals[0]["job_lines"].as_str().expect("lines");
    let job = format!("title = \"Hood\"\nunits = \"mm\"\n[[part]]\nname = \"hood\"\nfile = \"hood.stl\"\n{lines}");
    let bench = Bench::new().with("hood.stl", binary_stl(&lipped_hood())).with("job.toml", job);
    assert_eq!(bench.run(["plan", "job.toml", "--out", "out"]).code, 0);
    let pasted = written(&bench).plan;
    let pieces = list(&pasted["parts"][0]["builds"][0]["pieces"]);
    assert_eq!(pieces.len(), 2);
    for piece in pieces {
        assert!(piece["pull"]["releases"] == true && piece["release"]["answer"] != "locks", "{}", piece["name"]);
    }
}

#[test]
fn a_measured_panel_shows_its_pull_from_the_document_of_the_same_run() {
    let bench = Bench::new().with("hood.stl", binary_stl(&lipped_hood()));
    let ran = bench.run(["measure", "hood.stl", "--json", "--report", "page.html"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let page = std::fs::read_to_string(bench.path("page.html")).expect("the page");
    let document = ran.json();
    let shown = shown(&page);
    let faults: Vec<String> = shown.iter().filter_map(|shown| fault(shown, &document)).take(5).collect();
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert!(page.contains("No direction frees a mould in one."));
    let has = |at: &str| shown.iter().any(|shown| shown.at == at);
    assert!(has("/parts/0/pull/least_draft_deg") && has("/parts/0/split/proposals/0/cut_length_mm"));
    // The search takes its time, and the document alone was not asked for where to split.
    assert!(bench.run(["measure", "hood.stl", "--json"]).json()["parts"][0]["split"].is_null());
}

/// Source: plan.json, and the sketch's own words.
#[test]
fn wall_sheets_mark_and_count_wedge_starts_and_ports() {
    let Report { page, plan } = demo();
    let sheets: Vec<&str> = page.split("<article class=\"sheet wall-sheet\"").skip(1).collect();
    let of_mould = |sheet: &&&str| sheet.contains("ring: air or water port");
    assert!(sheets.len() >= 22 && sheets.iter().filter(of_mould).count() >= 11, "{}", sheets.len());
    assert!(sheets.iter().all(|sheet| sheet.contains("triangle: wedge start")));
    for (number, part) in list(&plan["parts"]).iter().enumerate() {
        for (build, _) in list(&part["builds"]).iter().enumerate() {
            let at = format!("/parts/{number}/builds/{build}/pieces/0/release/n_wedges");
            assert!(sheets.iter().any(|sheet| sheet.contains(&at)), "{at}");
        }
    }
}

/// What a reader sees of a page: without its script, its styles and the scene.
fn seen(page: &str) -> String {
    let mut seen = String::new();
    let mut rest = page;
    while let Some(at) = ["<script", "<style"].iter().filter_map(|tag| rest.find(tag)).min() {
        seen.push_str(&rest[..at]);
        let end = ["</script>", "</style>"].iter().filter_map(|tag| rest[at..].find(tag)).min().expect("it ends");
        rest = &rest[at + end + 1..];
    }
    seen + rest
}

#[test]
fn keys_that_notes_name_are_code_and_no_backtick_is_seen() {
    let page = seen(&demo().page);
    let at = page.find('`');
    let around =
        at.map(|at| page[..at].chars().rev().take(80).collect::<Vec<_>>().into_iter().rev().collect::<String>());
    assert_eq!(around, None);
    for section in ["id=\"days\"", "id=\"mixes\""] {
        let from = page.find(section).expect("the section");
        let to = page[from..].find("</section>").expect("it ends");
        assert!(section.contains("mixes") || page[from..from + to].contains("<code>"), "{section}");
    }
}
