//! Release, through the built program: what `measure` and `plan` say of one shape by what is built on it.

mod common;

use common::files::binary_stl;
use common::program::{Bench, Ran};
use common::shapes::{Triangle, moved, reversed};
use common::solids;
use serde_json::Value;

/// Of the draft that the walls of a plug have, 3 degrees.
const TAN_3_DEG: f64 = 0.052_407_779_283_041_2;
const COS_3_DEG: f64 = 0.998_629_534_754_573_9;

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("a number, not {value}"))
}

/// Plans one panel, with more lines for its part or after it.
fn planned(triangles: &[Triangle], lines: &str) -> (Value, Ran) {
    let job = format!("units = \"mm\"\n\n[[part]]\nname = \"panel\"\nfile = \"panel.stl\"\n{lines}");
    let bench = Bench::new().with("panel.stl", binary_stl(triangles)).with("job.toml", &job);
    let ran = bench.run(["plan", "job.toml", "--json"]);
    assert_eq!(ran.code, 0, "{job}\n{}", ran.err);
    (ran.json(), bench.run(["plan", "job.toml"]))
}

/// The pieces of the build of this make.
fn pieces<'a>(plan: &'a Value, make: &str) -> &'a [Value] {
    let builds = plan["parts"][0]["builds"].as_array().expect("builds");
    builds.iter().find(|build| build["make"] == make).expect("the build")["pieces"].as_array().expect("pieces")
}

fn answer<'a>(plan: &'a Value, make: &str) -> &'a Value {
    &pieces(plan, make)[0]["release"]
}

fn measured(bench: &Bench, options: &[&str]) -> Value {
    let ran = bench.run(["measure", "panel.stl", "--units", "mm", "--json"].iter().chain(options));
    assert_eq!(ran.code, 0, "{}", ran.err);
    ran.json()["parts"][0].clone()
}

/// A box with walls that lean in by a draft, closed by the face that it stands on.
fn plug() -> Vec<Triangle> {
    let mut plug = solids::tray(800.0, 600.0, 150.0, 3.0);
    let out = 150.0 * TAN_3_DEG;
    let [a, b, c, d] =
        [[-out, -out, 0.0], [800.0 + out, -out, 0.0], [800.0 + out, 600.0 + out, 0.0], [-out, 600.0 + out, 0.0]];
    plug.extend([[a, c, b], [a, d, c]]);
    plug
}

#[test]
fn one_upright_tray_is_tight_for_mould_and_moulding_and_each_is_told_its_own_remedy() {
    let (plan, shown) = planned(&solids::tray(800.0, 600.0, 150.0, 0.0), "");
    for make in ["mould", "moulding"] {
        let release = answer(&plan, make);
        assert_eq!(release["answer"], "tight");
        // Four walls of 150 mm round 800 x 600.
        assert!((number(&release["near_zero_m2"]) - 0.42).abs() < 1e-6);
    }
    assert!(shown.out.contains("How each piece comes off and who lifts it"), "{}", shown.out);
    assert!(shown.out.contains("wax well, leave wedge starts"), "{}", shown.out);
    assert!(shown.out.contains("a thin moulding peels off"), "{}", shown.out);
}

#[test]
fn an_undercut_that_a_thin_moulding_peels_over_locks_a_thick_mould() {
    // One wall of 150 mm leans in by 12 mm. Bent as a cantilever (Euler and Bernoulli): strain 1.5 t d / h^2.
    let (mut sheet, lean) = (solids::tray(800.0, 600.0, 150.0, 3.0), 12.0);
    for point in sheet.iter_mut().flatten() {
        if point[0] > 800.0 {
            point[0] = 800.0 - lean;
        }
    }
    let (plan, _) = planned(&sheet, "pull = [0, 0, 1]\n");
    let (mould, moulding) = (answer(&plan, "mould"), answer(&plan, "moulding"));
    assert_eq!(mould["answer"], "locks", "{mould}");
    let (of_mould, of_moulding) = (&mould["peel"], &moulding["peel"]);
    // The thicker strains more, in proportion, and pushes with the cube of its thickness.
    let ratio = number(&of_mould["strain_percent"]) / number(&of_moulding["strain_percent"]);
    let force = number(&of_mould["force_n_mm"]) / number(&of_moulding["force_n_mm"]);
    assert!(ratio > 1.5, "{ratio}");
    assert!((force / ratio.powi(3) - 1.0).abs() < 1e-6, "{force} {ratio}");
    assert_eq!(moulding["answer"], "peels", "{moulding}");
    // The same walls with draft come off, whatever is built on them.
    let (plan, _) = planned(&solids::tray(800.0, 600.0, 150.0, 3.0), "");
    assert!(["mould", "moulding"].iter().all(|make| answer(&plan, make)["answer"] == "comes"));
}

#[test]
fn wedges_stand_at_their_spacing_round_the_edge_and_the_ports_on_the_crown() {
    let (plan, _) = planned(&solids::tray(800.0, 600.0, 150.0, 3.0), "");
    let release = answer(&plan, "mould");
    let wedges = release["wedges_mm"].as_array().expect("wedges");
    assert_eq!(number(&release["n_wedges"]) as usize, wedges.len());
    // Every 400 mm round some 2,863 mm of edge.
    assert!((7..=8).contains(&wedges.len()), "{}", wedges.len());
    let ports = release["ports_mm"].as_array().expect("ports");
    assert_eq!(number(&release["n_ports"]) as usize, ports.len());
    assert!(!ports.is_empty() && ports.iter().all(|port| number(&port[2]) > 100.0), "{ports:?}");
}

#[test]
fn who_lifts_it_follows_the_limits_of_the_job() {
    let tray = solids::tray(800.0, 600.0, 150.0, 3.0);
    let (plan, _) = planned(&tray, "");
    assert_eq!(answer(&plan, "mould")["lifted_by"], "one");
    let (plan, _) = planned(&tray, "\n[shop]\nlift_one_kg = 5.0\nlift_two_kg = 15.0\n");
    assert_eq!(answer(&plan, "mould")["lifted_by"], "two");
    assert_eq!(answer(&plan, "moulding")["lifted_by"], "one");
}

#[test]
fn each_piece_of_a_split_mould_is_drawn_its_own_way() {
    let body = common::shapes::plain_box([200.0, 300.0, 500.0]);
    let split = "\n[[part.split]]\nname = \"waist\"\nof = \"mould\"\naxis = \"z\"\nat_mm = 180.0\n";
    let (plan, shown) = planned(&body, split);
    let ways: Vec<f64> =
        pieces(&plan, "mould").iter().map(|piece| number(&piece["pull"]["direction"][2]).round()).collect();
    assert_eq!(ways, [1.0, -1.0]);
    assert!(shown.out.contains("+z") && shown.out.contains("-z"), "{}", shown.out);
}

#[test]
fn the_base_of_a_plug_is_left_out_of_area_corners_and_pull() {
    let bench = Bench::new().with("panel.stl", binary_stl(&plug()));
    let (whole, without) = (measured(&bench, &[]), measured(&bench, &["--base", "auto"]));
    let has =
        |part: &Value, code: &str| part["notes"].as_array().expect("notes").iter().any(|note| note["code"] == code);
    assert!(has(&whole, "seeming-base") && !has(&whole, "base-left-out"));
    assert!(has(&without, "base-left-out") && !has(&without, "seeming-base"));
    assert!(number(&whole["pull"]["least_draft_deg"]) < 0.0);
    assert!((number(&without["pull"]["least_draft_deg"]) - 3.0).abs() < 0.05);
    let n_corners = |part: &Value| part["corners"].as_array().map_or(0, Vec::len);
    // The four edges of the foot are no corners of what is moulded.
    assert_eq!((n_corners(&whole), n_corners(&without)), (12, 8));
    let towards = measured(&bench, &["--base", "0,0,-1"]);
    assert_eq!(towards["pull"], without["pull"]);
    assert!(has(&measured(&bench, &["--base", "1,1,0"]), "no-base"));

    let (plan, _) = planned(&plug(), "base = \"auto\"\n");
    let out = 150.0 * TAN_3_DEG;
    let wall = 150.0 / COS_3_DEG;
    // A lid, and four trapezia.
    let area_m2 = (800.0 * 600.0 + 2.0 * wall * (800.0 + out + 600.0 + out)) * 1e-6;
    let piece = &pieces(&plan, "mould")[0];
    assert!((number(&piece["area_m2"]) / area_m2 - 1.0).abs() < 1e-6, "{}", piece["area_m2"]);
    assert_eq!(piece["release"]["answer"], "comes");
    // Where the base was the mould has its flange.
    let flange_m2: f64 = piece["edges"].as_array().expect("edges").iter().map(|edge| number(&edge["flange_m2"])).sum();
    assert!(flange_m2 > 0.075 * 2.8, "{flange_m2}");
}

#[test]
fn a_face_that_chooses_nothing_and_a_base_that_is_nowhere_are_told_and_the_rest_is_planned() {
    let (plan, _) = planned(&plug(), "face = [0, 1, 0]\nbase = [1, 1, 0]\n");
    let notes = plan["parts"][0]["notes"].to_string();
    assert!(notes.contains("face-without-a-wall") && notes.contains("no-base"), "{notes}");
    assert!(!pieces(&plan, "mould").is_empty());
}

#[test]
fn bad_meshes_are_searched_for_splits_as_far_as_they_go_and_each_is_told() {
    let not_a_number = {
        let mut plug = plug();
        plug[3][1][2] = f64::NAN;
        plug
    };
    let needles: Vec<Triangle> = (0..20).map(|_| [[0.0; 3], [1000.0, 0.0, 0.0], [500.0, 0.0, 0.0]]).collect();
    let crossing = [plug(), moved(&plug(), [300.0, 200.0, 60.0])].concat();
    let bench = Bench::new()
        .with("a whole.stl", binary_stl(&plug()))
        .with("b crossing.stl", binary_stl(&crossing))
        .with("c inside out.stl", binary_stl(&reversed(&plug())))
        .with("d not a number.stl", binary_stl(&not_a_number))
        .with("e needles.stl", binary_stl(&needles))
        .with("f empty.stl", b"")
        .with("g one facet.stl", binary_stl(&plug()[..1]));
    let ran = bench.run(["splits", ".", "--units", "mm", "--json"]);
    assert_eq!(ran.code, 2);
    let told = ran.json();
    let parts = told["parts"].as_array().expect("parts");
    assert_eq!(parts.len(), 5, "{told}");
    let codes = |number: usize| parts[number]["notes"].to_string();
    for (number, word) in [(1, "not joined"), (2, "inside out"), (3, "not a number")] {
        assert!(codes(number).contains(word), "{}", codes(number));
    }
    assert_eq!(parts[4]["needs_no_split"], true);
    let errors = told["errors"].as_array().expect("errors");
    assert_eq!(errors.len(), 2);
    assert!(errors.iter().all(|error| !error["remedy"].as_str().expect("a remedy").is_empty()));
}

#[test]
fn a_mould_with_less_draft_than_is_wanted_is_shown_the_split_that_gives_it_and_that_it_is_for_draft() {
    // A trough: two walls of 1 degree and a crown between them.
    let profile = [[-101.0473, 0.0], [-100.0, 60.0], [100.0, 60.0], [101.0473, 0.0]];
    let side = |pair: &[[f64; 2]]| {
        let [[a, low], [b, high]] = [pair[0], pair[1]];
        let corners = [[a, 0.0, low], [b, 0.0, high], [b, 300.0, high], [a, 300.0, low]];
        [[corners[0], corners[1], corners[2]], [corners[0], corners[2], corners[3]]]
    };
    let trough: Vec<Triangle> = profile.windows(2).flat_map(side).collect();
    let (plan, _) = planned(&trough, "outward = [0, 0, 1]\n[shop]\ndraft_deg = 3\n");
    let split = &answer(&plan, "mould")["split"];
    assert_eq!(split["for_draft"], true, "{split}");
    let best = &split["proposals"][0];
    let gained = number(&best["least_draft_deg"]) - 1.0;
    assert!(best["releases"] == true && gained >= 0.5, "{best}");
    // A mould that locks is split to come off at all.
    let (plan, _) = planned(&solids::mushroom(), "");
    assert_eq!(answer(&plan, "mould")["split"]["for_draft"], false);
}

#[test]
fn a_round_wall_of_few_points_is_told_with_how_far_its_draft_may_be_off_until_it_is_exported_finer() {
    // A round lid of 100 mm, 60 high, its wall 1 degree: points at foot and rim alone.
    let lid = |n: usize| solids::revolved(&[[0.0, 60.0], [100.0, 60.0], [101.0473, 0.0]], n);
    let told = |n: usize| {
        let (plan, shown) = planned(&lid(n), "");
        let pull = pieces(&plan, "mould")[0]["pull"].clone();
        (pull, plan.to_string().contains("draft-not-certain"), shown.out)
    };
    let (pull, not_certain, shown) = told(12);
    let off_deg = number(&pull["draft_error_deg"]);
    assert!((number(&pull["least_draft_deg"]) - 1.0).abs() <= off_deg + 0.05, "{pull}");
    assert!(not_certain && off_deg > 0.5 && pull["finer_chord_mm"].is_number(), "{pull}");
    assert!(shown.contains("too coarse to tell a draft of"), "{shown}");
    let (pull, not_certain, _) = told(360);
    assert!(number(&pull["draft_error_deg"]) < 0.5 * off_deg && !not_certain, "{pull}");
}

#[test]
fn a_moulding_comes_out_of_a_mould_that_parts_and_is_not_said_to_lock() {
    let job_lines =
        "\n[[part.split]]\nname = \"belt\"\nof = \"mould\"\npoint_mm = [0.0, 0.0, 0.0]\nnormal = [0.0, 0.0, 1.0]\n";
    let (in_one, _) = planned(&solids::ball(), "");
    assert_eq!(answer(&in_one, "moulding")["answer"], "locks");
    let (parted, shown) = planned(&solids::ball(), job_lines);
    let moulding = answer(&parted, "moulding");
    let moulds: Vec<&Value> = pieces(&parted, "mould").iter().map(|piece| &piece["release"]["answer"]).collect();
    assert_eq!(moulds.len(), 2);
    assert!(moulds.contains(&&moulding["answer"]) && moulding["answer"] != "locks", "{moulding} {moulds:?}");
    assert_eq!(moulding["mould_parts"], serde_json::json!(["a", "b"]));
    assert!(shown.out.contains("its mould parts"), "{}", shown.out);
    let codes: Vec<&Value> =
        pieces(&parted, "moulding")[0]["notes"].as_array().into_iter().flatten().map(|note| &note["code"]).collect();
    assert!(!codes.iter().any(|code| *code == "locks"), "{codes:?}");
}

#[test]
fn ports_of_a_flat_of_two_facets_lie_apart_and_what_is_lifted_holds_the_stiffeners() {
    let (plan, _) = planned(&solids::tray(2400.0, 1400.0, 60.0, 3.0), "");
    let release = answer(&plan, "mould");
    let ports: Vec<[f64; 3]> =
        release["ports_mm"].as_array().expect("ports").iter().map(|at| [0, 1, 2].map(|k| number(&at[k]))).collect();
    assert!(ports.len() >= 4, "{ports:?}");
    for (k, one) in ports.iter().enumerate() {
        for other in &ports[k + 1..] {
            let off: f64 = (0..3).map(|axis| (one[axis] - other[axis]).powi(2)).sum::<f64>().sqrt();
            assert!(off > 300.0, "{one:?} {other:?}");
        }
    }
    let build = plan["parts"][0]["builds"]
        .as_array()
        .expect("builds")
        .iter()
        .find(|build| build["make"] == "mould")
        .expect("a mould");
    let finished = number(&build["finished"]["mass_kg"]);
    assert!((number(&release["lifted_kg"]) - finished).abs() < 1e-9 * finished, "{release}");
    assert!(finished > number(&pieces(&plan, "mould")[0]["mass_kg"]) + 1.0);
}

#[test]
fn an_upright_round_wall_has_no_undercut_and_nothing_of_it_is_hidden() {
    let tube = solids::revolved(&[[100.0, 300.0], [100.0, 0.0]], 48);
    let bench = Bench::new().with("panel.stl", binary_stl(&tube));
    let pull = measured(&bench, &[])["pull"].clone();
    for key in ["undercut_m2", "undercut_clipped_m2", "shadowed_m2"] {
        assert!(number(&pull[key]) < 1e-6, "{key}: {pull}");
    }
}

#[test]
fn a_shelf_far_from_the_crown_is_not_said_to_peel() {
    // A box that lost its end, drawn off along its length: the other end stands square to the pull.
    let (plan, _) = planned(&solids::tray(800.0, 600.0, 60.0, 3.0), "pull = [1, 0, 0]\n");
    for make in ["mould", "moulding"] {
        assert_eq!(answer(&plan, make)["answer"], "locks", "{make}");
    }
}

#[test]
fn a_wall_that_is_held_at_both_ends_does_not_peel_where_a_free_one_does() {
    // Half-round arches past their middle, drawn off upwards: 330 mm in radius, 200 long, open at both ends or with flanges there.
    let arch = |profile: &[[f64; 2]]| -> Vec<Triangle> {
        let at = |step: i32, [radius, y]: [f64; 2]| {
            let angle = f64::from(step).to_radians() * 5.0;
            [radius * matloft::maths::sin(angle), y, radius * matloft::maths::cos(angle)]
        };
        let quads = (-23..23).flat_map(|step| profile.windows(2).map(move |pair| (step, pair[0], pair[1])));
        let sides = quads.flat_map(|(step, a, b)| {
            let [one, two, three, four] = [at(step, a), at(step, b), at(step + 1, b), at(step + 1, a)];
            [[one, two, three], [one, three, four]]
        });
        sides.collect()
    };
    let answers = |profile: &[[f64; 2]]| {
        let (plan, _) = planned(&arch(profile), "pull = [0, 0, 1]\noutward = [0, 0, 1]\n");
        answer(&plan, "moulding")["answer"].clone()
    };
    assert_eq!(answers(&[[330.0, 0.0], [330.0, 200.0]]), "peels");
    assert_eq!(answers(&[[390.0, 0.0], [330.0, 0.0], [330.0, 200.0], [390.0, 200.0]]), "locks");
    // One end held, the other free: it opens from there.
    assert_eq!(answers(&[[330.0, 0.0], [330.0, 200.0], [390.0, 200.0]]), "peels");
}

#[test]
fn what_locks_mould_and_moulding_alike_is_one_decision_under_its_own_heading() {
    let (plan, _) = planned(&solids::mushroom(), "");
    let decisions = plan["decisions"].as_array().expect("decisions");
    let locks: Vec<&Value> = decisions.iter().filter(|decision| decision["code"] == "locks").collect();
    let [only] = locks[..] else { panic!("{locks:?}") };
    assert_eq!(only["class"], "held");
    assert!(only["message"].as_str().is_some_and(|text| text.starts_with("mould and moulding lock along")), "{only}");
}

#[test]
fn limits_that_cannot_be_are_refused_with_what_they_must_be() {
    let bench = Bench::new().with("panel.stl", binary_stl(&plug()));
    let ran = bench.run(["measure", "panel.stl", "--units", "mm", "--draft", "95"]);
    assert_eq!(ran.code, 64, "{}", ran.err);
    assert!(ran.err.contains("degrees up to 45"), "{}", ran.err);
    for (lines, told) in
        [("lift_one_kg = 40\nlift_two_kg = 20", "no less than `lift_one_kg`"), ("draft_deg = 95", "45 degrees at most")]
    {
        let job = format!("units = \"mm\"\n\n[[part]]\nname = \"panel\"\nfile = \"panel.stl\"\n\n[shop]\n{lines}\n");
        let ran = Bench::new().with("panel.stl", binary_stl(&plug())).with("job.toml", &job).run(["check", "job.toml"]);
        assert_eq!(ran.code, 2, "{lines}: {}", ran.err);
        assert!(ran.err.contains(told), "{}", ran.err);
    }
}

#[test]
fn a_wall_of_few_points_is_told_by_measure_too_and_a_thick_wall_is_doubted() {
    let lid = solids::revolved(&[[0.0, 60.0], [100.0, 60.0], [101.0473, 0.0]], 12);
    let shown = Bench::new().with("panel.stl", binary_stl(&lid)).run(["measure", "panel.stl", "--units", "mm"]);
    assert!(shown.out.contains("whether that wall locks cannot be told"), "{}", shown.out);
    // Two discs and a web between them, 20 mm thick: as good a plug of webs as a wall.
    let spool = solids::revolved(
        &[
            [0.0, 120.0],
            [150.0, 120.0],
            [150.0, 100.0],
            [40.0, 100.0],
            [40.0, 20.0],
            [150.0, 20.0],
            [150.0, 0.0],
            [0.0, 0.0],
        ],
        24,
    );
    let thick = measured(&Bench::new().with("panel.stl", binary_stl(&spool)), &[]);
    let notes = thick["notes"].as_array().expect("notes");
    assert!(notes.iter().any(|note| note["code"] == "skin-doubtful"), "{notes:?}");
}
