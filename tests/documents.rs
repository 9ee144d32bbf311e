//! README and DEVELOPERS are held to what is really there.

mod common;

use std::path::Path;

/// Paths in backquotes that begin with a top-level folder of the project.
fn paths_named(text: &str) -> Vec<&str> {
    let places = ["src/", "tests/", "fixtures/", "benches/", ".ci/"];
    // What stands in fences is commands and output; what stands between single backquotes are names.
    let prose = text.split("```").step_by(2);
    let quoted = prose.flat_map(|prose| prose.split('`').skip(1).step_by(2));
    quoted.filter(|word| places.iter().any(|place| word.starts_with(place))).collect()
}

#[test]
fn every_path_named_in_the_pages_for_readers_exists() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for page in ["README.md", "DEVELOPERS.md"] {
        let text = std::fs::read_to_string(root.join(page)).expect("the page is there");
        let named = paths_named(&text);
        for path in &named {
            let path = path.split_whitespace().next().expect("a path has no blanks");
            assert!(root.join(path).exists(), "{page} names {path}, which does not exist");
        }
        assert!(page == "README.md" || named.len() > 10, "{page} names the rooms of the house");
    }
}

#[test]
fn the_top_level_holds_only_what_the_layout_lists() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let allowed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "src",
        "tests",
        "fixtures",
        "benches",
        "target",
    ];
    for entry in std::fs::read_dir(root).expect("the root can be read") {
        let name = entry.expect("an entry").file_name().to_string_lossy().into_owned();
        assert!(name.starts_with('.') || allowed.contains(&name.as_str()), "{name} does not belong at the top level");
    }
}

#[test]
fn the_readme_shows_what_its_first_command_prints() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let readme = std::fs::read_to_string(root.join("README.md")).expect("the page is there");
    assert!(readme.contains("plan fixtures/demo/teardrop.toml"), "the command is in the README");
    let shown =
        readme.split("```text\n").nth(1).and_then(|rest| rest.split("```").next()).expect("its output is shown");
    let ran = common::program::Bench::new().run(["plan", &root.join("fixtures/demo/teardrop.toml").to_string_lossy()]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    let printed: Vec<&str> = ran.out.lines().collect();
    let shown: Vec<&str> = shown.lines().filter(|line| *line != "...").collect();
    assert!(shown.len() > 20);
    for line in shown {
        assert!(printed.contains(&line), "the README shows a line that is not printed: {line}");
    }
}
