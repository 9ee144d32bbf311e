//! The order of work of a build, from the tool outwards: what both sheets go by.
//!
//! Remedies fall where their quantities hold: what is done on the plug comes before anything is laid; a fillet behind the
//! gelcoat is reckoned on the film, so it comes after the tack test and before the first ply; tapes begin with the first
//! ply that is butted; a doubler follows the ply that does not take the corner; relief cuts come with the first ply that
//! runs over them and again with every later one.

use crate::laminate::remedies::{MetAs, Place, Remedy};
use crate::plan::{Build, MetCorner, PiecePlan};

/// One step of the work.
#[derive(Debug, Clone, PartialEq)]
pub enum Step<'a> {
    /// Corners filled or rounded on the plug.
    Plug(Vec<Spot<'a>>),
    /// The tool is clean and released.
    Release,
    /// The gelcoat goes on.
    Gelcoat,
    /// The gelcoat is ready for the first ply.
    Tack,
    /// Fillets behind the gelcoat.
    Fillets(Vec<Spot<'a>>),
    /// A stage begins: its index.
    Stage(usize),
    /// Another first ply at some corners.
    Lighter(Vec<Spot<'a>>),
    /// Relief cuts of the ply that follows, where they are made for the first time.
    Cuts(Vec<Spot<'a>>),
    /// From the ply that follows, plies are butted under tapes.
    Tapes(Vec<Spot<'a>>),
    /// A ply: its index, and the corners at which it is cut as plies before it were.
    Ply(usize, Vec<Spot<'a>>),
    /// Doublers over the ply before.
    Doublers(Vec<Spot<'a>>),
    /// The laminate cures.
    Cure,
    /// It is trimmed.
    Trim,
    /// It comes off the tool.
    Lift,
}

/// A remedy at a corner of a piece, with its place in the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot<'a> {
    /// Index of the piece.
    pub piece: usize,
    /// Its name.
    pub letter: &'a str,
    /// Index of the corner in its piece.
    pub corner: usize,
    /// The corner's name.
    pub id: &'a str,
    /// Index of the remedy at the corner.
    pub index: usize,
    /// What is done.
    pub remedy: &'a Remedy,
}

/// A kind of remedy that others can stand in for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choice {
    /// A fillet behind the gelcoat.
    FilletBehind,
    /// A fillet on the plug.
    FilletOnPlug,
    /// An outside corner rounded on the plug.
    RoundOnPlug,
    /// A lighter first ply.
    LighterFirstPly,
    /// Plies butted under tapes.
    Tapes,
    /// A doubler.
    Doubler,
}

/// Corners at which the same things can be done about the same ply.
#[derive(Debug, Clone)]
pub struct Decision<'a> {
    /// How they are met.
    pub met_as: MetAs,
    /// The first ply that does not follow.
    pub failing_ply: usize,
    /// What can be done: one of these is to be chosen.
    pub choices: Vec<Choice>,
    /// Index and name of the piece, index and corner.
    pub corners: Vec<(usize, &'a str, usize, &'a MetCorner)>,
}

/// What of a corner's remedies can stand in for another; nothing for relief cuts, which are needed beside them.
#[must_use]
pub const fn choice(remedy: &Remedy) -> Option<Choice> {
    match remedy {
        Remedy::Fill { place: Place::BehindGelcoat, .. } => Some(Choice::FilletBehind),
        Remedy::Fill { place: Place::OnPlug, .. } => Some(Choice::FilletOnPlug),
        Remedy::Round { .. } => Some(Choice::RoundOnPlug),
        Remedy::LighterFirstPly { .. } => Some(Choice::LighterFirstPly),
        Remedy::ButtUnderTape { .. } => Some(Choice::Tapes),
        Remedy::Doubler { .. } => Some(Choice::Doubler),
        Remedy::ReliefCuts { .. } => None,
    }
}

/// What a person has to decide at corners before the work begins, like corners together.
#[must_use]
pub fn decisions<'a>(build: &'a Build, pieces: &[usize]) -> Vec<Decision<'a>> {
    let mut decisions: Vec<Decision<'a>> = Vec::new();
    for (number, piece) in chosen(build, pieces) {
        for (index, corner) in piece.corners.iter().enumerate() {
            let Some(failing_ply) = corner.advice.first_failing_ply else { continue };
            let choices: Vec<Choice> = corner.advice.remedies.iter().filter_map(choice).collect();
            let met_as = corner.met.met_as;
            let here = (number, piece.name.as_str(), index, corner);
            let same = |one: &&mut Decision<'a>| {
                one.met_as == met_as && one.failing_ply == failing_ply && one.choices == choices
            };
            match decisions.iter_mut().find(same) {
                Some(decision) => decision.corners.push(here),
                None => decisions.push(Decision { met_as, failing_ply, choices, corners: vec![here] }),
            }
        }
    }
    decisions
}

/// The steps of some pieces of a build, in the order of the work.
#[must_use]
pub fn steps<'a>(build: &'a Build, pieces: &[usize]) -> Vec<Step<'a>> {
    let spots = spots(build, pieces);
    let at = |wanted: &dyn Fn(&Spot<'a>) -> bool| -> Vec<Spot<'a>> {
        spots.iter().filter(|spot| wanted(spot)).copied().collect()
    };
    let of = |wanted: &[Choice]| at(&|spot| choice(spot.remedy).is_some_and(|choice| wanted.contains(&choice)));
    let mut steps = Vec::new();
    steps.extend(some(of(&[Choice::FilletOnPlug, Choice::RoundOnPlug])).map(Step::Plug));
    steps.push(Step::Release);
    if has_gelcoat(build) {
        steps.extend([Step::Gelcoat, Step::Tack]);
    }
    steps.extend(some(of(&[Choice::FilletBehind])).map(Step::Fillets));
    for ply in plies(build) {
        let stage = build.stages.iter().position(|stage| stage.from_ply == ply);
        steps.extend(stage.map(Step::Stage));
        if ply == 1 {
            steps.extend(some(of(&[Choice::LighterFirstPly])).map(Step::Lighter));
        }
        let cut = |spot: &Spot<'a>| is_cut(spot.remedy) && sees(build, spot).any(|seen| seen == ply);
        let first = |spot: &Spot<'a>| sees(build, spot).next() == Some(ply);
        steps.extend(some(at(&|spot| cut(spot) && first(spot))).map(Step::Cuts));
        let taped = |spot: &Spot<'a>| matches!(spot.remedy, Remedy::ButtUnderTape { from_ply, .. } if *from_ply == ply);
        steps.extend(by_material(at(&taped)).into_iter().map(Step::Tapes));
        steps.push(Step::Ply(ply - 1, at(&|spot| cut(spot) && !first(spot))));
        let doubled = |spot: &Spot<'a>| {
            choice(spot.remedy) == Some(Choice::Doubler) && corner(build, spot).advice.first_failing_ply == Some(ply)
        };
        steps.extend(by_material(at(&doubled)).into_iter().map(Step::Doublers));
    }
    steps.extend([Step::Cure, Step::Trim, Step::Lift]);
    steps
}

/// Whether there is a gelcoat; it is the schedule's, so every piece has it or none.
#[must_use]
pub fn has_gelcoat(build: &Build) -> bool {
    build.pieces.iter().any(|piece| piece.lay_up.gelcoat.is_some())
}

fn some<T>(list: Vec<T>) -> Option<Vec<T>> {
    (!list.is_empty()).then_some(list)
}

/// Tapes or doublers, those of one material together.
fn by_material(spots: Vec<Spot<'_>>) -> Vec<Vec<Spot<'_>>> {
    let material = |spot: &Spot<'_>| match spot.remedy {
        Remedy::ButtUnderTape { material, .. } | Remedy::Doubler { material, .. } => material.clone(),
        _ => String::new(),
    };
    let mut groups: Vec<Vec<Spot<'_>>> = Vec::new();
    for spot in spots {
        match groups.iter_mut().find(|group| group.first().map(material) == Some(material(&spot))) {
            Some(group) => group.push(spot),
            None => groups.push(vec![spot]),
        }
    }
    groups
}

fn chosen<'a>(build: &'a Build, pieces: &[usize]) -> impl Iterator<Item = (usize, &'a PiecePlan)> {
    pieces.iter().filter_map(|&number| Some((number, build.pieces.get(number)?)))
}

/// Numbers of the plies; they are the schedule's, the same for every piece.
fn plies(build: &Build) -> impl Iterator<Item = usize> {
    1..=build.pieces.iter().map(|piece| piece.lay_up.plies.len()).max().unwrap_or(0)
}

fn spots<'a>(build: &'a Build, pieces: &[usize]) -> Vec<Spot<'a>> {
    let mut spots = Vec::new();
    for (piece, planned) in chosen(build, pieces) {
        for (corner, met) in planned.corners.iter().enumerate() {
            spots.extend(met.advice.remedies.iter().enumerate().map(|(index, remedy)| Spot {
                piece,
                letter: &planned.name,
                corner,
                id: &met.corner.id,
                index,
                remedy,
            }));
        }
    }
    spots
}

fn corner<'a>(build: &'a Build, spot: &Spot<'_>) -> &'a MetCorner {
    &build.pieces[spot.piece].corners[spot.corner]
}

/// Numbers of the plies that lie at a spot, in order.
fn sees<'a>(build: &'a Build, spot: &Spot<'_>) -> impl Iterator<Item = usize> + use<'a> {
    corner(build, spot).advice.sees.iter().map(|sees| sees.ply)
}

const fn is_cut(remedy: &Remedy) -> bool {
    matches!(remedy, Remedy::ReliefCuts { .. })
}
