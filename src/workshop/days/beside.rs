//! What the days need to know beside the pieces: what may not be begun, and what belongs to a build beyond its plies.

use std::collections::BTreeMap;

use crate::laminate::schedule::Make;
use crate::workshop::takes::habits::PlugStuff;

/// Beside the pieces of a job.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Beside {
    /// Builds that are given no time.
    pub withheld: Vec<Withheld>,
    /// What builds have beyond their plies, by the numbers of part and build.
    pub extras: BTreeMap<(usize, usize), Extra>,
    /// What plugs are made of, by the number of the part, where the job says it.
    pub plugs: BTreeMap<usize, PlugStuff>,
}

/// A build that may not be begun as things are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Withheld {
    /// Number of its part.
    pub part: usize,
    /// Mould or moulding. Without its mould no moulding is planned.
    pub make: Make,
    /// Why.
    pub reason: String,
    /// What to change, each by itself.
    pub remedies: Vec<String>,
}

/// What a build has beyond its plies. Figures stand for one.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Extra {
    /// Plates, pads and their doublers, all fixings together.
    pub n_fixings: u32,
    /// Doublers over them and plies in the place of a core there, ply by ply, in m2.
    pub fixings_m2: f64,
    /// Peel ply on what is bonded later, in m2.
    pub peel_ply_m2: f64,
    /// Joints of a moulding in pieces.
    pub joints: Vec<JointWork>,
    /// What the inner face is finished with, in words; nothing where it stays bare.
    pub coat: Option<&'static str>,
    /// Timber of a mould's cradle, in m; 0 without one.
    pub cradle_m: f64,
}

/// A joint of a moulding in pieces.
#[derive(Debug, Clone, PartialEq)]
pub struct JointWork {
    /// Name of the split.
    pub split: String,
    /// Strap, lap, joggle or return flange.
    pub kind: &'static str,
    /// Its length, in m.
    pub length_m: f64,
    /// Width of what is keyed and stuck or laid over, in m.
    pub width_m: f64,
    /// Plies laid over it.
    pub n_plies: f64,
}

impl Beside {
    /// Why a build is withheld.
    #[must_use]
    pub fn withheld(&self, part: usize, make: Make) -> Option<&Withheld> {
        self.withheld.iter().find(|withheld| (withheld.part, withheld.make) == (part, make))
    }
}
