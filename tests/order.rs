//! The order of the built program: from plies to packs, price lists side by side, names that would harm a spreadsheet.

mod common;

use common::files::binary_stl;
use common::program::{Bench, Ran, fixture};
use common::shapes::turned_box;
use serde_json::Value;

const PANEL: &str =
    "title = \"bench\"\nunits = \"mm\"\n[[part]]\nname = \"locker\"\nfile = \"panel.stl\"\nquantity = 2\n";

const LISTS: &str = r#"
[[supplier]]
name = "North"
currency = "EUR"
delivery = 12
[[supplier.pack]]
of = "polyester"
kg = 25
price = 100
shelf_life_months = 6
[[supplier.pack]]
of = "catalyst"
litres = 1
price = 15

[[supplier]]
name = "=South, \"the\" yard"
currency = "EUR"
[[supplier.pack]]
of = "polyester"
kg = 5
price = 24
[[supplier.pack]]
of = "mat 450"
metres = 50
width_mm = 1000
price = 110

[[on_shelf]]
of = "mat 225"
metres = 3
"#;

fn bench(job: &str) -> Bench {
    Bench::new().with("panel.stl", binary_stl(&turned_box([900.0, 600.0, 250.0]))).with("job.toml", job)
}

fn planned(job: &str) -> (Bench, Ran) {
    let bench = bench(job);
    let ran = bench.run(["plan", "job.toml", "--json", "--out", "out"]);
    (bench, ran)
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

fn list(value: &Value) -> &[Value] {
    value.as_array().expect("a list")
}

fn line<'a>(plan: &'a Value, name: &str) -> &'a Value {
    list(&plan["order"]).iter().find(|line| line["name"] == name).unwrap_or_else(|| panic!("no line {name}"))
}

fn rows(bench: &Bench, table: &str) -> (Vec<String>, Vec<Vec<String>>) {
    let mut reader = csv::Reader::from_path(bench.path(table)).expect("the table");
    let cells = |record: &csv::StringRecord| record.iter().map(str::to_owned).collect::<Vec<_>>();
    let head = cells(reader.headers().expect("a head"));
    (head, reader.records().map(|record| cells(&record.expect("a record"))).collect())
}

/// Source: sums over plan.json itself, piece by piece, against the lines of the order. Within 1e-9.
#[test]
fn the_demos_plies_weigh_what_its_order_says_and_its_packs_hold_it() {
    let ran = Bench::new().run(["plan".as_ref(), fixture("demo/teardrop.toml").as_os_str(), "--json".as_ref()]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let plan = ran.json();
    let builds = || list(&plan["parts"]).iter().flat_map(|part| list(&part["builds"]));
    let sum = |of: &dyn Fn(&Value) -> f64| -> f64 {
        builds().map(|build| number(&build["count"]) * list(&build["pieces"]).iter().map(of).sum::<f64>()).sum()
    };
    let over_plies = |key: &'static str, of: &'static str, name: String| {
        move |piece: &Value| -> f64 {
            list(&piece["plies"]).iter().filter(|ply| ply[of] == name.as_str()).map(|ply| number(&ply[key])).sum()
        }
    };
    let takes = list(&plan["takes"]["lines"]);
    let taken = |kind: &Value, material: &str, measure: &str| -> f64 {
        let own = takes.iter().filter(|take| take["kind"] == *kind && take["material"] == material);
        own.map(|take| number(&take["count"]) * number(&take["amounts"][measure])).sum()
    };
    let mut n_checked = 0;
    for line in list(&plan["order"]) {
        let material = line["material"].as_str().expect("a name").to_owned();
        let gelcoat =
            |piece: &Value| if piece["gelcoat"] == material.as_str() { number(&piece["gelcoat_kg"]) } else { 0.0 };
        let laid_kg = match line["kind"].as_str().expect("a kind") {
            "reinforcement" => Some(sum(&over_plies("glass_kg", "material", material.clone()))),
            "core" => Some(sum(&over_plies("core_kg", "material", material.clone()))),
            "resin" => Some(sum(&over_plies("resin_alone_kg", "resin", material.clone()))),
            "gelcoat" => Some(sum(&gelcoat)),
            "catalyst" | "hardener" | "filler" | "filler hardener" => None,
            _ => Some(0.0),
        };
        if let Some(laid_kg) = laid_kg {
            let kg = laid_kg + taken(&line["kind"], &material, "kg");
            assert!((kg - number(&line["kg"])).abs() <= 1e-9 * kg.max(1.0), "{material}: {kg} kg taken, {line}");
        }
        let (net, measure) = (number(&line["net"]), line["unit_of_sale"].as_str().expect("a unit"));
        match (line["kind"].as_str(), measure) {
            (Some("reinforcement"), "m") => {
                let metres =
                    sum(&over_plies("roll_m", "material", material.clone())) + taken(&line["kind"], &material, "m");
                assert!((metres - net).abs() <= 1e-9 * metres.max(1.0), "{material}: {metres} m");
            }
            (Some("catalyst" | "hardener" | "filler" | "filler hardener" | "gelcoat" | "resin" | "core"), _) => {}
            (_, unit) => {
                let key = if unit == "l" { "litres" } else { unit };
                let amount = taken(&line["kind"], &material, key);
                assert!(
                    (amount - net).abs() <= 1e-9 * amount.max(1.0),
                    "{material}: {amount} {unit} taken, {net} ordered"
                );
                assert!(amount > 0.0, "{material} is known by what it is sold by");
            }
        }
        let chain: f64 = ["plies", "beyond", "plugs"].iter().map(|part| number(&line[*part])).sum();
        assert!(
            (chain - net).abs() <= 1e-9 * net.max(1.0),
            "{material}: {chain} of plies, beyond and plugs, {net} net"
        );
        let in_packs: f64 =
            list(&line["packs"]).iter().map(|pack| number(&pack["count"]) * number(&pack["size"])).sum();
        assert!(in_packs + number(&line["on_shelf"]) >= number(&line["with_reserve"]) - 1e-9, "{material} is short");
        assert!(
            (in_packs - number(&line["to_buy"]) - number(&line["left_over"])).abs() <= 1e-9 * in_packs,
            "{material}"
        );
        for pack in list(&line["packs"]) {
            assert!(!pack["source"].as_str().expect("a source").is_empty() && pack["mark"].is_string(), "{pack}");
        }
        assert!(line["reserve_why"].as_str().is_some_and(|why| !why.is_empty()), "{material} says why its reserve");
        assert!(number(&line["reserve_percent"]) == 0.0 || line["reserve_mark"].is_string(), "{material}");
        n_checked += 1;
    }
    assert!(n_checked >= 20, "{n_checked}");
}

#[test]
fn price_lists_stand_side_by_side_and_the_invoice_is_the_sum_of_its_lines() {
    let (_, ran) = planned(&format!("{PANEL}{LISTS}"));
    assert_eq!(ran.code, 0, "{}", ran.err);
    let plan = ran.json();
    let order = list(&plan["order"]);
    for quote in list(&plan["quotes"]) {
        let lines = list(&quote["lines"]);
        assert_eq!(lines.len(), order.len());
        let goods: f64 = lines.iter().filter_map(|line| line["price"].as_f64()).sum();
        assert!((goods - number(&quote["goods"])).abs() <= 1e-9 * goods, "{quote}");
        assert!((goods + number(&quote["delivery"]) - number(&quote["total"])).abs() <= 1e-9 * goods);
        assert_eq!(quote["complete"], false);
    }
    let basket = &plan["baskets"][0];
    let prices: f64 = order.iter().filter_map(|line| line["price"].as_f64()).sum();
    assert!((prices - number(&basket["goods"])).abs() <= 1e-9 * prices, "the order is priced as the basket is");
    assert!(line(&plan, "mat 450")["supplier"].as_str().is_some_and(|name| name.starts_with("=South")));
    assert_eq!(line(&plan, "mould gelcoat")["price"], Value::Null);
    assert_eq!(number(&line(&plan, "mat 225")["on_shelf"]), 3.0);
    let told: Vec<&str> = list(&plan["notes"]).iter().filter_map(|note| note["code"].as_str()).collect();
    assert!(told.contains(&"not-offered"), "{told:?}");
}

/// Source: what spreadsheets take for a formula (OWASP, CSV injection); RFC 4180 for quotes and commas.
#[test]
fn the_order_opens_in_a_spreadsheet_with_units_in_its_head_and_no_formula_in_it() {
    let (bench, ran) = planned(&format!("{PANEL}{LISTS}"));
    assert_eq!(ran.code, 0, "{}", ran.err);
    let (head, order) = rows(&bench, "out/order.csv");
    assert!(
        head.iter().any(|column| column == "kg_with_reserve") && head.iter().any(|column| column == "unit_of_sale")
    );
    assert_eq!(order.len(), list(&ran.json()["order"]).len());
    let (asked_head, asked) = rows(&bench, "out/request_for_quotation.csv");
    assert!(asked_head.contains(&"areal_weight_g_m2".to_owned()) && asked_head.contains(&"unit".to_owned()));
    assert!(!asked.is_empty());
    let supplier = head.iter().position(|column| column == "supplier").expect("the column");
    assert!(order.iter().any(|row| row[supplier] == "'=South, \"the\" yard"), "quoted, and no formula");
    for cell in order.iter().chain(&asked).flatten() {
        assert!(!cell.starts_with(['=', '+', '@', '\t']), "{cell}");
    }
    // What we pay is nobody else's business.
    let text = std::fs::read_to_string(bench.path("out/request_for_quotation.csv")).expect("the table");
    let prices: Vec<String> = list(&ran.json()["order"])
        .iter()
        .filter_map(|line| line["price"].as_f64())
        .map(|price| price.to_string())
        .collect();
    assert!(!prices.is_empty() && !prices.iter().any(|price| text.contains(&format!(",{price},"))), "{text}");
    let page = std::fs::read_to_string(bench.path("out/report.html")).expect("the page");
    let sheets = page.split_once("id=\"quotation\"").expect("the section").1;
    assert!(!sheets.contains("/price\""), "no figure of a request is a price");
    assert_eq!(sheets.matches("<article").count(), 3, "one for whoever is asked, one for each supplier");
}

#[test]
fn a_price_list_that_cannot_be_read_is_refused_with_its_line() {
    let says = |more: &str, line: usize, words: &[&str]| {
        let ran = bench(&format!("{PANEL}{more}")).run(["check", "job.toml"]);
        assert_eq!(ran.code, 2, "{}{}", ran.out, ran.err);
        let text = ran.out + &ran.err;
        assert!(
            text.contains(&format!("line {line}")) || text.contains(&format!("job.toml:{line}")),
            "line {line}: {text}"
        );
        words.iter().for_each(|word| assert!(text.contains(word), "{word}: {text}"));
    };
    let supplier = "[[supplier]]\nname = \"A\"\ncurrency = \"EUR\"\n[[supplier.pack]]\n";
    says(&format!("{supplier}of = \"polyestr\"\nkg = 5\n"), 11, &["polyestr", "did you mean \"polyester\"?"]);
    says(&format!("{supplier}of = \"epoxy hardner\"\nkg = 5\n"), 11, &["did you mean \"epoxy hardener\"?"]);
    says(&format!("{supplier}of = \"polyester\"\nprice = 5\n"), 10, &["how much", "`kg`, `litres`"]);
    says(&format!("{supplier}of = \"polyester\"\nkg = 5\nlitres = 4\n"), 10, &["more than once"]);
    says(&format!("{supplier}of = \"polyester\"\nkg = 0\n"), 12, &["0.001"]);
    says("[[supplier]]\nname = \"A\"\n", 7, &["currency of supplier \"A\"", "`currency = \"EUR\"`"]);
    let twice = "[[supplier]]\nname = \"A\"\ncurrency = \"EUR\"\n";
    says(&format!("{twice}{twice}"), 11, &["two suppliers are called \"A\""]);
    says("[[on_shelf]]\nof = \"mat 450\"\nmetres = 5\nexpires = \"31.3.2027\"\n", 10, &["no day", "2027-03-31"]);
    says("[[on_shelf]]\nof = \"mat 450\"\nmetres = 5\nkeeps_opened_months = 5\n", 10, &["opened"]);
}

#[test]
fn the_order_at_the_terminal_names_packs_and_who_they_come_from() {
    let ran = bench(&format!("{PANEL}{LISTS}")).run(["plan", "job.toml"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    for words in ["What to order", "What suppliers ask", "Cheapest choice:", "North", "1 x 25 kg, 1 x 5 kg"] {
        assert!(ran.out.contains(words), "{words}: {}", ran.out);
    }
}

/// By hand: 1 kg of catalyst at 1.18 g/ml is 0.847 l, 30 kg of 1 m x 450 g/m2 are 66.666 m: shown as their list sells them.
#[test]
fn packs_stand_as_the_list_sells_them_beside_the_need_in_its_own_unit() {
    let list_of = "[[supplier]]\nname = \"North\"\ncurrency = \"EUR\"\n\
        [[supplier.pack]]\nof = \"catalyst\"\nkg = 1\nprice = 15\n\
        [[supplier.pack]]\nof = \"mat 450\"\nkg = 30\nwidth_mm = 1000\nprice = 90\n";
    let (bench, ran) = planned(&format!("{PANEL}{list_of}"));
    assert_eq!(ran.code, 0, "{}", ran.err);
    let plan = ran.json();
    for (name, listed, unit, each) in [("catalyst", 1.0, "kg", "l each)"), ("mat 450", 30.0, "kg", "66.666 m each)")] {
        let pack = &line(&plan, name)["packs"][0];
        assert_eq!((number(&pack["listed_size"]), &pack["listed_unit"]), (listed, &Value::from(unit)), "{pack}");
        for table in ["out/order.csv", "out/request_for_quotation.csv"] {
            let (head, rows) = rows(&bench, table);
            let column = |names: [&str; 2]| {
                head.iter()
                    .position(|key| names.contains(&key.as_str()))
                    .unwrap_or_else(|| panic!("{names:?} in {table}"))
            };
            let (of, packs) = (column(["name", "material"]), column(["packs", "packs_wanted"]));
            let of = if table.ends_with("order.csv") { column(["name", "name"]) } else { of };
            let row = rows.iter().find(|row| row[of] == name).unwrap_or_else(|| panic!("{name} in {table}"));
            assert!(
                row[packs].contains(&format!(" x {listed} {unit} (")) && row[packs].ends_with(each),
                "{}",
                row[packs]
            );
        }
    }
}

/// By hand: Cheap has the resin, Dear the catalyst as well; what is lacking at Cheap is what the choice takes from Dear.
#[test]
fn a_single_supplier_who_asks_less_because_something_is_lacking_is_told_with_what() {
    let lists = "[[supplier]]\nname = \"Cheap\"\ncurrency = \"EUR\"\n[[supplier.pack]]\nof = \"polyester\"\nkg = 5\nprice = 20\n\
        [[supplier]]\nname = \"Dear\"\ncurrency = \"EUR\"\n[[supplier.pack]]\nof = \"polyester\"\nkg = 5\nprice = 30\n\
        [[supplier.pack]]\nof = \"catalyst\"\nlitres = 1\nprice = 15\n";
    let (bench, ran) = planned(&format!("{PANEL}{lists}"));
    let plan = ran.json();
    let basket = &plan["baskets"][0];
    let [without] = list(&basket["cheaper_without"]) else { panic!("{basket}") };
    assert_eq!((&without["supplier"], &without["lacks"]), (&Value::from("Cheap"), &serde_json::json!(["catalyst"])));
    let (total, alone, lacking) =
        (number(&basket["total"]), number(&without["total"]), number(&without["lacks_price"]));
    assert!((total - alone - lacking).abs() < 1e-9 && lacking >= 15.0, "{total} {alone} {lacking}");
    let told = bench.run(["plan", "job.toml"]).out;
    assert!(
        told.contains(&format!("Cheap alone asks {alone:.2} EUR, without catalyst, which is {lacking:.2} of that")),
        "{told}"
    );
    assert!(std::fs::read_to_string(bench.path("out/report.html")).expect("the page").contains("</bdi> alone asks "));
}

/// What days and sheets tell to do is ordered too; by hand: 60 g of clay a metre of board, 20 g of compound a m2 of paint.
#[test]
fn clay_for_the_boards_and_compound_for_the_paint_are_ordered() {
    let tray = binary_stl(&common::solids::tray(900.0, 600.0, 150.0, 3.0));
    let ran = Bench::new().with("panel.stl", tray).with("job.toml", PANEL).run(["plan", "job.toml", "--json"]);
    let plan = ran.json();
    let skin_m2: f64 =
        list(&plan["takes"]["plugs"]).iter().map(|plug| number(&plug["count"]) * number(&plug["skin_m2"])).sum();
    assert!((number(&line(&plan, "polishing compound")["net"]) - 0.020 * skin_m2).abs() < 1e-9, "{skin_m2} m2");
    let board_m2 = number(&line(&plan, "flange sheet")["net"]);
    let flange_m = plan["practice"]["flange_mm"]["value"].as_f64().unwrap_or(75.0) / 1000.0;
    let clay = line(&plan, "modelling clay without sulphur");
    assert!((number(&clay["net"]) - 0.060 * board_m2 / flange_m).abs() < 1e-9, "{clay} {board_m2} {flange_m}");
    for (key, of) in [("seal_clay_g_m", "extras"), ("polish_g_m2", "plug")] {
        let figure = list(&plan["figures"]).iter().find(|figure| figure["figure"] == key).expect("the figure");
        assert_eq!(figure["mark"], "common-practice", "{of}");
    }
}

/// A spreadsheet reads six digits; the plan has them all.
#[test]
fn cells_have_no_more_digits_than_mean_anything() {
    let (bench, ran) = planned(PANEL);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let mut n_rounded = 0;
    for table in ["order", "pieces", "plies", "mixes", "takes"] {
        let (head, rows) = rows(&bench, &format!("out/{table}.csv"));
        for row in rows {
            for (key, cell) in head.iter().zip(&row) {
                let Ok(value) = cell.parse::<f64>() else { continue };
                let digits = cell.trim_start_matches(['-', '0', '.']).replace('.', "").trim_end_matches('0').len();
                assert!(digits <= 6 || value.fract() == 0.0, "{table}.csv {key}: {cell}");
                n_rounded += usize::from(digits == 6);
            }
        }
    }
    assert!(n_rounded > 20, "{n_rounded}");
}

/// The job's currency is that of a supplier who names none; the order goes by it, and what only another's list has is told.
#[test]
fn the_order_goes_by_the_jobs_currency_and_says_what_is_paid_in_another() {
    let list = |name: &str, currency: &str, of: &str, price: u32| {
        format!(
            "[[supplier]]\nname = \"{name}\"\n{currency}[[supplier.pack]]\nof = \"{of}\"\nkg = 5\nprice = {price}\n"
        )
    };
    let lists = list("North", "currency = \"SEK\"\n", "polyester", 400)
        + "[[supplier.pack]]\nof = \"production gelcoat\"\nkg = 5\nprice = 900\n"
        + &list("South", "", "polyester", 40);
    let ran = bench(&format!("currency = \"EUR\"\n{PANEL}{lists}")).run(["plan", "job.toml", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let plan = ran.json();
    let order = plan["order"].as_array().expect("lines");
    let currency = |name: &str| order.iter().find(|line| line["name"] == name).expect("a line")["currency"].clone();
    assert_eq!((currency("polyester"), currency("production gelcoat")), ("EUR".into(), "SEK".into()));
    let notes = plan["notes"].as_array().expect("notes");
    let mixed = notes.iter().find(|note| note["code"] == "currencies-mixed").expect("it is told");
    let message = mixed["message"].as_str().expect("words");
    assert!(message.contains("paid for in EUR") && message.contains("production gelcoat in SEK"), "{message}");
}

/// Source: sums over plan.json itself. Small things of which a mix is rounded up to a step of the scale by more than the
/// reserve: the order has what their cards weigh out, whatever is on the shelf.
#[test]
fn what_the_cards_weigh_out_is_in_the_order_though_it_is_more_than_the_reserve() {
    let small = binary_stl(&common::solids::tray(80.0, 60.0, 20.0, 4.0));
    let shelf = "[shop]\ntemperature_c = 20\n[[on_shelf]]\nof = \"mould gelcoat\"\nkg = 0.01\n";
    let bench = Bench::new().with("panel.stl", small).with("job.toml", format!("{PANEL}{shelf}"));
    let ran = bench.run(["plan", "job.toml", "--json"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let plan = ran.json();
    let (materials, mixes) = (list(&plan["mixes"]["materials"]), list(&plan["mixes"]["lines"]));
    let (mut n_checked, mut n_over) = (0, 0);
    for need in list(&plan["order"]) {
        let (kind, name) = (need["kind"].as_str().expect("a kind"), need["material"].as_str().expect("a name"));
        let weighed_g = |line: &&Value| {
            let of = &materials[number(&line["recipe"]) as usize];
            let word = if of["kind"] == "putty" { "filler" } else { of["kind"].as_str().expect("a kind") };
            let stirred = if of["stirred"] == "catalyst" { "catalyst" } else { "filler hardener" };
            let own = if (word, of["material"].as_str()) == (kind, Some(name)) { "weigh_g" } else { "stir_g" };
            let is_in = own == "weigh_g" || stirred == kind;
            let n = number(&line["count"]) * number(&line["mixes"]["n_mixes"]);
            if is_in { n * number(&line["mixes"][own]) } else { 0.0 }
        };
        let weighed_kg = mixes.iter().map(|line| weighed_g(&line)).sum::<f64>() / 1000.0;
        if weighed_kg == 0.0 {
            continue;
        }
        let have = number(&need["kg_with_reserve"]);
        assert!(have >= weighed_kg - 1e-9, "{kind} {name}: {weighed_kg} kg weighed out, {have} kg to have");
        n_checked += 1;
        if number(&need["reserve_percent"]) > 16.0 {
            n_over += 1;
            assert!(
                (have - weighed_kg).abs() < 1e-9
                    && need["reserve_why"].as_str().is_some_and(|why| why.contains("scale")),
                "{need}"
            );
        }
    }
    assert!(n_checked >= 4 && n_over > 0, "{n_checked} {n_over}");
    let gelcoat = line(&plan, "mould gelcoat");
    let (have, there) = (number(&gelcoat["with_reserve"]), number(&gelcoat["on_shelf"]));
    assert!((number(&gelcoat["to_buy"]) - (have - there)).abs() < 1e-9, "{gelcoat}");
}
