use super::*;
use crate::laminate::figure::Mark;

fn job(text: &str) -> StockFile {
    toml::from_str(text).expect("a stock file")
}

#[test]
fn the_starter_stock_holds_what_a_small_shop_uses() {
    let stock = Stock::starter().expect("the starter stock");
    for name in ["mat 225", "mat 300", "mat 450", "mat 600", "tissue 30", "woven 200", "woven 300", "woven 600"] {
        assert!(stock.reinforcements.contains_key(name), "{name}");
    }
    assert!(stock.reinforcements.values().any(|reinforcement| reinforcement.kind == Kind::Biaxial));
    assert_eq!(stock.resins.len(), 3);
    assert_eq!(stock.gelcoats.len(), 2);
    assert!(!stock.cores.is_empty() && !stock.fillers.is_empty());
}

#[test]
fn every_figure_of_the_starter_names_its_source_and_mark() {
    let stock = Stock::starter().expect("the starter stock");
    let mut figures = stock.practice.figures();
    figures.extend(stock.reinforcements.values().flat_map(Reinforcement::figures));
    figures.extend(stock.cores.values().flat_map(Core::figures));
    figures.extend(stock.resins.values().flat_map(Resin::figures));
    figures.extend(stock.gelcoats.values().flat_map(Gelcoat::figures));
    figures.extend(stock.fillers.values().flat_map(Filler::figures));
    assert!(figures.len() > 100);
    for NamedFigure { field, figure } in figures {
        assert!(figure.mark != Mark::Given && figure.source != "job file", "{field}: {figure:?}");
    }
    for roll in stock.reinforcements.values().flat_map(|reinforcement| reinforcement.rolls.iter().flatten()) {
        assert!(roll.width_mm.mark != Mark::Given, "{roll:?}");
    }
}

#[test]
fn starter_schedules_name_only_what_the_starter_stock_holds() {
    let stock = Stock::starter().expect("the starter stock");
    let schedules = starter_schedules().expect("the starter schedules");
    assert_eq!(schedules.keys().collect::<Vec<_>>(), ["mould", "moulding"]);
    for (name, schedule) in &schedules {
        schedule.check(name, &stock).expect("a good schedule");
    }
}

#[test]
fn a_job_changes_one_figure_and_keeps_the_rest() {
    let stock =
        Stock::with(job("[reinforcement.'mat 450']\ninside_limit_mm = 6\nglass_content = 0.30")).expect("stock");
    let mat = &stock.reinforcements["mat 450"];
    assert_eq!((mat.inside_limit_mm.value, mat.inside_limit_mm.mark), (6.0, Mark::Given));
    assert_eq!(mat.areal_weight_g_m2.value, 450.0);
    // The job's way to give the resin replaces the starter's other way; both would contradict each other.
    assert!(matches!(mat.wet_out(), Some(WetOut::GlassContent(psi)) if psi.value == 0.30));
}

#[test]
fn a_new_material_must_be_complete() {
    let error = Stock::with(job("[reinforcement.'mat 100']\nkind = 'mat'\nbinder = 'powder'")).expect_err("incomplete");
    assert_eq!(error.to_string(), "reinforcement \"mat 100\" has no `next_to_gelcoat`");
    assert!(error.remedy().contains("starter stock"));
}

#[test]
fn two_ways_to_give_the_resin_are_one_too_many() {
    let text = "[reinforcement.'mat 450']\nglass_content = 0.3\nresin_per_glass = 2.5";
    let error = Stock::with(job(text)).expect_err("two ways");
    assert!(matches!(error, LaminateError::WetOut { n_given: 2, .. }), "{error}");
}

#[test]
fn a_glass_content_in_percent_is_refused() {
    let error = Stock::with(job("[reinforcement.'mat 450']\nglass_content = 30")).expect_err("percent");
    assert!(error.to_string().contains("`glass_content` is 30, it must be between 0 and 1"), "{error}");
}

#[test]
fn a_density_of_next_to_nothing_is_refused() {
    for density in ["0", "1e-300"] {
        let error =
            Stock::with(job(&format!("[resin.polyester]\ncured_density_g_cm3 = {density}"))).expect_err("nothing");
        assert!(error.to_string().contains("`cured_density_g_cm3` is 0"), "{error}");
    }
}

#[test]
fn an_unknown_material_or_key_names_its_neighbour() {
    let stock = Stock::starter().expect("the starter stock");
    let error = stock.material("schedule \"mould\", layer 2", "mat 45").expect_err("no such mat");
    assert_eq!(error.to_string(), "schedule \"mould\", layer 2 names material \"mat 45\", which is not in the stock");
    assert_eq!(error.remedy(), "did you mean \"mat 450\"?");
    let message = toml::from_str::<StockFile>("[resin.polyester]\ndensity = 1.2").expect_err("unknown key").to_string();
    assert!(message.contains("line 2") && message.contains("unknown field `density`"), "{message}");
}

#[test]
fn an_epoxy_needs_its_mix() {
    let text = "[resin.'slow epoxy']\nfamily = 'epoxy'\nliquid_density_g_ml = 1.1\ncured_density_g_cm3 = 1.15";
    let error = Stock::with(job(text)).expect_err("no mix");
    assert!(matches!(error, LaminateError::Missing { field: "hardener_per_100", .. }), "{error}");
}

#[test]
fn the_heaviest_mat_sets_the_limit_for_a_first_look() {
    let stock = Stock::starter().expect("the starter stock");
    assert_eq!(stock.heaviest_mat_limit_mm(), Some(12.0)); // mat 600
    let heavier = "[reinforcement.'mat 900']\nkind = 'mat'\nbinder = 'powder'\nnext_to_gelcoat = false\n\
                   areal_weight_g_m2 = 900\nglass_density_g_cm3 = 2.56\nresin_per_glass = 2.5\ninside_limit_mm = 18\n\
                   outside_limit_mm = 12\nlap_mm = 50";
    assert_eq!(Stock::with(job(heavier)).expect("a stock").heaviest_mat_limit_mm(), Some(18.0));
}

#[test]
fn editors_get_a_schema_of_stock_and_schedules() {
    let schema = serde_json::to_value(schemars::schema_for!(StockFile)).expect("a schema");
    let entry = &schema["$defs"]["ReinforcementEntry"];
    assert_eq!(entry["additionalProperties"], serde_json::json!(false));
    assert!(entry["properties"]["areal_weight_g_m2"]["description"].as_str().is_some_and(|text| text.contains("g/m2")));
    // A figure is a bare number or a table.
    let ways = schema["$defs"]["Figure"]["anyOf"].as_array().expect("two ways");
    assert_eq!((ways.len(), ways[0]["type"].as_str()), (2, Some("number")));
    let schedule = serde_json::to_value(schemars::schema_for!(Schedule)).expect("a schema");
    assert!(schedule["properties"]["layers"].is_object());
}

#[test]
fn a_stock_that_is_written_out_is_read_back_the_same() {
    let text = "[reinforcement.'mat 450']\ninside_limit_mm = { value = 7, low = 6, high = 9, mark = 'makers-sheet', source = 'sheet' }\n\
                rolls = [{ width_mm = 1270, mass_kg = 40 }]";
    let file = job(text);
    let written = toml::to_string(&file).expect("written");
    assert_eq!(job(&written), file);
}
