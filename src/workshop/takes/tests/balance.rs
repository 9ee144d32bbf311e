//! Mass balance, whatever is built: nothing is ordered short, and mixes come to what is ordered.

use proptest::prelude::*;

use super::*;

/// Area in m2, length of the split in mm, how many mouldings, in epoxy or not, which joint.
type Panel = (f64, f64, u32, bool, u8);

fn arbitrary_work() -> impl Strategy<Value = (Vec<Panel>, u8)> {
    let piece = (0.05..20.0_f64, 0.0..5000.0_f64, 1..40_u32, any::<bool>(), 0..4_u8);
    (proptest::collection::vec(piece, 1..6), 0..4_u8)
}

/// A joint of its kind for each panel, and an inner face.
fn told_of(parts: &[Panel], finish: u8) -> (Vec<[Joint; 1]>, Inside) {
    let kinds = [JointKind::Strap, JointKind::Lap, JointKind::Joggle, JointKind::ReturnFlange];
    let joints = parts.iter().map(|part| [joint(kinds[usize::from(part.4)])]).collect();
    let finish = [Finish::Bare, Finish::Flowcoat, Finish::WaxedResin][usize::from(finish % 3)];
    (joints, Inside { finish, peel_ply_m2: Some(0.03) })
}

/// Mould and moulding of each panel, both in two pieces.
fn in_halves(parts: &[Panel], stock: &Stock, with: impl Fn(&mut PieceWork, f64)) -> Vec<PieceWork> {
    let mut pieces = Vec::new();
    for (number, &(m2, split_mm, count, is_epoxy, _)) in parts.iter().enumerate() {
        let resin = if is_epoxy { "epoxy" } else { "polyester" };
        for (build, make) in [(0, Make::Mould), (1, Make::Moulding)] {
            for half in 0..2 {
                let mut piece = piece(stock, [number, build, half], make, m2, resin);
                piece.splits = vec![("waist".to_owned(), split_mm)];
                piece.count = if make == Make::Mould { 1 } else { count };
                with(&mut piece, m2);
                pieces.push(piece);
            }
        }
    }
    pieces
}

proptest! {
    /// Mass balance: what is needed of a material is the sum of what every line takes of it, times how many do.
    #[test]
    fn every_need_is_the_sum_of_its_lines_and_every_sum_gives_its_amount((parts, finish) in arbitrary_work()) {
        let stock = Stock::starter().expect("the starter stock");
        let (joints, inside) = told_of(&parts, finish);
        let stiffening = Stiffening { metres: Some(1.7), cradle: finish == 3, ..Stiffening::default() };
        let pieces = in_halves(&parts, &stock, |piece, m2| (piece.flange_m2, piece.n_wedges) = (0.1 * m2, 3));
        let asked: Vec<Asked<'_>> = joints.iter().map(|joints| Asked {
            joints,
            inside: Some(&inside),
            stiffening: Some(&stiffening),
            flange_mm: 75.0,
            size_mm: [900.0, 700.0, 80.0],
            ..Asked::default()
        }).collect();
        let colour: Colour = toml::from_str("paste = 'cream'").expect("a colour");
        let taken = taken(pieces, &asked, &plug_of(""), Some(&colour), &stock);
        let needs = needs(&[], &taken.takes, &[], &stock, &extras());
        for need in &needs.needs {
            let lines = taken.takes.iter().filter(|take| take.kind == need.kind && take.material == need.material);
            let sum = lines.fold(Amounts::default(), |mut sum, take| { sum.add(take.amounts.times(take.count)); sum });
            let close = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs().max(1.0);
            prop_assert!(close(need.kg, sum.kg) && close(need.m2.unwrap_or(sum.m2), sum.m2), "{need:?}");
            prop_assert!(close(need.litres.unwrap_or(sum.litres), sum.litres), "{need:?}");
            prop_assert!(close(need.roll_m.or(need.m).unwrap_or(sum.m), sum.m), "{need:?}");
            prop_assert!(close(need.pieces.unwrap_or(0.0), sum.pieces), "{need:?}");
            let (net, all) = need.by_measure();
            prop_assert!(net > 0.0 && all >= net, "{need:?}");
            prop_assert!(need.workings.iter().all(|sum| close(sum.value(), sum.result)), "{need:?}");
        }
        for take in &taken.takes {
            prop_assert!(needs.needs.iter().any(|need| need.kind == take.kind && need.material == take.material));
            prop_assert!((take.working.value() - take.working.result).abs() <= 1e-9 * take.working.result.abs().max(1.0), "{take:?}");
            let own = [take.amounts.kg, take.amounts.litres, take.amounts.m2, take.amounts.m, take.amounts.pieces];
            prop_assert!(own.iter().any(|amount| (amount - take.working.result).abs() <= 1e-9), "{take:?}");
            prop_assert!(own.iter().all(|amount| amount.is_finite() && *amount >= 0.0), "{take:?}");
        }
        for lines in taken.finished.into_values() {
            let finished = Finished::of(Spread::exactly(3.0), lines);
            prop_assert!(finished.lines.iter().all(|line| (line.working.value() - line.kg.likely).abs() < 1e-9));
            prop_assert!((finished.working().value() - finished.mass_kg.likely).abs() < 1e-9);
            prop_assert!(finished.mass_kg.low <= finished.mass_kg.likely && finished.mass_kg.likely <= finished.mass_kg.high);
        }
    }
}

/// Net need of a liquid, in kg, with what the pieces' own coats, fillets and plies take of it.
fn net_kg(kind: NeedKind, material: &str, pieces: &[PieceWork], needs: &Needs, stock: &Stock) -> f64 {
    let of_piece = |piece: &PieceWork| {
        let dose = |dose: Option<Dose>, of: &str| {
            let same = dose.filter(|dose| match dose.agent {
                Agent::Catalyst => kind == NeedKind::Catalyst,
                Agent::Hardener => kind == NeedKind::Hardener && of == material,
            });
            same.map_or(0.0, |dose| dose.g / 1000.0)
        };
        let mut kg = 0.0;
        for ply in &piece.plies {
            kg += dose(ply.dose, &ply.resin);
            if kind == NeedKind::Resin && ply.resin == material {
                kg += ply.resin_alone_kg;
            }
        }
        if let Some(gelcoat) = &piece.gelcoat {
            kg += dose(gelcoat.dose, &gelcoat.name);
            if kind == NeedKind::Gelcoat && gelcoat.name == material {
                kg += gelcoat.alone_kg;
            }
        }
        for (name, ml) in &piece.putty_ml {
            let putty = &stock.fillers[name];
            let putty_kg = ml * putty.density_g_cm3.value / 1000.0;
            kg += match kind {
                NeedKind::Filler if name == material => putty_kg,
                NeedKind::FillerHardener => putty_kg * putty.hardener_percent.as_ref().expect("told").value / 100.0,
                _ => 0.0,
            };
        }
        f64::from(piece.count) * kg
    };
    let beyond = needs.needs.iter().find(|need| need.kind == kind && need.material == material);
    beyond.map_or(0.0, |need| need.kg) + pieces.iter().map(of_piece).sum::<f64>()
}

/// What the mixes hold of a liquid, and what is told to be in none of them, in kg.
fn mixed_kg(kind: NeedKind, material: &str, mixes: &Mixes) -> f64 {
    let of_line = |line: &MixLine| {
        let recipe = &mixes.materials[line.recipe];
        let own = match (recipe.kind, kind) {
            (MixKind::Gelcoat, NeedKind::Gelcoat)
            | (MixKind::Resin, NeedKind::Resin)
            | (MixKind::Putty, NeedKind::Filler)
            | (MixKind::Adhesive, NeedKind::Adhesive)
                if line.material == material =>
            {
                line.alone_kg
            }
            _ => 0.0,
        };
        let stirred = match (recipe.stirred, kind) {
            (Some(Stirred::Catalyst), NeedKind::Catalyst) | (Some(Stirred::Paste), NeedKind::FillerHardener) => true,
            (Some(Stirred::Hardener), NeedKind::Hardener) => line.material == material,
            _ => false,
        };
        let stirred_kg = if stirred { line.stir_g.unwrap_or(0.0) / 1000.0 } else { 0.0 };
        let also = line.also.iter().filter(|also| also.kind == kind && also.material == material);
        f64::from(line.count) * (own + stirred_kg + also.map(|also| also.kg).sum::<f64>())
    };
    let unmixed = mixes.unmixed.iter().filter(|unmixed| unmixed.kind == kind && unmixed.material == material);
    mixes.lines.iter().map(of_line).sum::<f64>() + unmixed.map(|unmixed| unmixed.kg).sum::<f64>()
}

proptest! {
    /// Every liquid of the order is in a mix, or is told to be in none: from 12 C, where all is refused, to 24 C.
    #[test]
    fn mixes_and_what_is_in_none_come_to_the_net_need_of_every_liquid(
        (parts, finish) in arbitrary_work(), temperature_c in 12.0f64..24.9, coloured in any::<bool>(), solid in any::<bool>()
    ) {
        let stock = Stock::starter().expect("the starter stock");
        let (joints, inside) = told_of(&parts, finish);
        let stiffening = Stiffening { metres: Some(1.7), cradle: finish > 1, ..Stiffening::default() };
        let fixing: Fixing = toml::from_str(
            &format!("name = 'hinge'\nsize_mm = [80, 60]\nhow_many = 2\nsolid = {solid}")).expect("a fixing");
        let fixings = [fixing];
        let pieces = in_halves(&parts, &stock, |piece, m2| {
            if parts[piece.place.part].4 == 0 {
                piece.gelcoat = None;
            }
            piece.putty_ml = vec![("fillet putty".to_owned(), 40.0 * m2)];
            piece.stages = vec![one_stage()];
        });
        let asked: Vec<Asked<'_>> = joints.iter().map(|joints| Asked {
            joints,
            fixings: &fixings,
            inside: Some(&inside),
            stiffening: Some(&stiffening),
            flange_mm: 75.0,
            size_mm: [900.0, 700.0, 80.0],
        }).collect();
        let colour: Colour = toml::from_str("paste = 'cream'").expect("a colour");
        let mut taken = taken(pieces.clone(), &asked, &plug_of(""), coloured.then_some(&colour), &stock);
        let file = toml::from_str(&format!("[practice]\ntemperature_c = {temperature_c:?}")).expect("a stock");
        let warm = Stock::with(file).expect("a stock");
        let crew = Crew::with(CrewEntry::default()).expect("the starter's");
        let habits = MixHabits::with(MixHabitsEntry::default()).expect("the starter's");
        let pace = Pace::with(PaceEntry::default()).expect("the starter's");
        let shop = MixShop { stock: &warm, crew: &crew, habits: &habits, pace: &pace };
        let work = Work { pieces, missing: Vec::new() };
        let mixes = mixes(&work, &taken, &shop);
        let consumables = Consumables::with(ConsumablesEntry::default()).expect("the starter's");
        of_mixes(&mut taken, &mixes, &consumables, &stock);
        let needs = needs(&[], &taken.takes, &[], &stock, &extras());
        use NeedKind as K;
        let liquids = [K::Gelcoat, K::Resin, K::Catalyst, K::Hardener, K::Filler, K::Flowcoat, K::Adhesive, K::ColourPaste,
            K::WaxSolution, K::PlugFiller, K::FillerHardener];
        let mut named: Vec<(K, String)> = needs.needs.iter().filter(|need| liquids.contains(&need.kind))
            .map(|need| (need.kind, need.material.clone())).collect();
        named.extend(["polyester", "epoxy"].map(|name| (K::Resin, name.to_owned())));
        named.extend([(K::Filler, "fillet putty".to_owned()), (K::Gelcoat, "production gelcoat".to_owned())]);
        for (kind, material) in named {
            let (net, mixed) = (net_kg(kind, &material, &work.pieces, &needs, &stock), mixed_kg(kind, &material, &mixes));
            prop_assert!((net - mixed).abs() <= 1e-9 * net.max(1.0), "{kind:?} {material}: {net} kg needed, {mixed} kg mixed");
        }
        let cups: f64 = mixes.lines.iter().filter_map(|line| Some(f64::from(line.count) * line.mixes?.n_mixes as f64)).sum();
        let ordered = found(&needs, NeedKind::Cup, "mixing cup").pieces.expect("counted");
        prop_assert!(ordered >= cups && ordered > 0.0);
    }
}
