//! What a builder reads when a job file is wrong, and what a right one means.

use matloft::job;

fn told(text: &str) -> String {
    job::read(text, "job.toml").map_or_else(|errors| errors.to_string(), |job| format!("{job:#?}"))
}

#[test]
fn explore() {
    for text in [
        "title = \"T\"\nunits = mm\n",
        "units = \"inches\"\n\n[[part]]\nname = \"roof\"\nfile = \"roof.stl\"\nquantitiy = 2\n",
        "units = \"mm\"\n[[part]]\nname = \"roof\"\nfile = \"roof.stl\"\nquantity = 0\nface = \"outsid\"\nflange_mm = \"75 mm\"\n[[part.split]]\nname = \"waist\"\naxis = \"z\"\npoint_mm = [0, 0]\nat_mm = 300\n",
        "units = \"mm\"\n[[part]]\nname = \"roof\"\nfile = \"roof.stl\"\nmould = \"heavvy\"\nmoulding = true\n[[part.split]]\nname = \"waist\"\naxis = \"z\"\npoint_mm = [0, 0, 1]\nat_mm = 300\n[[part.split]]\nname = \"b\"\npoint_mm = [0, nan, 1]\nnormal = [0,0,0]\n[[part.split]]\nname = \"c\"\npoint_mm = [0, 0, 1]\n[[part.split]]\nname = \"d\"\n[[part.split]]\nname = \"d\"\nthrough_mm=[[0,0,0],[1,1,1],[2,2,2.0]]\n[[part]]\nname = \"roof\"\n",
        "[[part]]\nname = \"roof\"\nfile = 'roof.stl'\n[schedule.mine]\nmake = 'mould'\nresin = 'polyestr'\nlayers = [ { material = 'mat 45O', zone = { cornrs = {width_mm = 3} } }, { materail = 'mat 450' }, {material='mat 450', zone={corners={width_mm=-5}}, plies=0}]\n[stock.practice]\n[stock.reinforcement.'mat 450']\ninside_limit_mm = -4\nweight=4\n[stock.resin.new]\nfamily='epoxi'\n[stock.resin.newer]\nfamily='epoxy'\n[shop]\nflange = 3\ntrim_mm = { value = 30, low = 40 }",
    ] {
        eprintln!("{}\n=====", told(text));
    }
}
