//! How much is gone through for one order.

/// Steps that are gone through for a whole order: about two seconds of one core, however many suppliers, packs and lines
/// there are. With a tenth of them an order of 40 lines from six suppliers would not be proven; with ten times as many a
/// price list of absurd sizes would seem to hang.
const WHOLE_ORDER: u64 = 660_000_000;

/// What is left to go through. Each search takes what it goes through off it; past it the best found so far is given, with
/// what none can come under.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Budget {
    left: u64,
}

impl Default for Budget {
    fn default() -> Self {
        Self::of(WHOLE_ORDER)
    }
}

impl Budget {
    /// So many steps.
    #[must_use]
    pub const fn of(steps: u64) -> Self {
        Self { left: steps }
    }

    /// Steps that are left.
    #[must_use]
    pub const fn left(self) -> u64 {
        self.left
    }

    /// Takes steps off it if there are as many; says whether there were. A refusal takes none: what is less is still done.
    pub const fn take(&mut self, steps: u64) -> bool {
        let enough = self.left >= steps;
        if enough {
            self.left -= steps;
        }
        enough
    }

    /// Takes steps off it that have been gone through already.
    pub const fn spend(&mut self, steps: u64) {
        self.left = self.left.saturating_sub(steps);
    }

    /// Parts one share in so many off it, for what must not be left without by all the rest, or must not leave that without.
    #[must_use]
    pub const fn share(&mut self, one_in: u64) -> Self {
        let steps = self.left / one_in;
        self.left -= steps;
        Self { left: steps }
    }

    /// Adds what is left of a share.
    pub const fn give_back(&mut self, share: Self) {
        self.left = self.left.saturating_add(share.left);
    }
}
