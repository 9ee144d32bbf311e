//! Lines of the order: each need, and what is bought for it.

use serde::Serialize;

use crate::plan::Plan;
use crate::workshop::needs::Need;
use crate::workshop::order::Line;

/// A line of the order.
#[derive(Serialize)]
pub(super) struct OrderEntry<'a> {
    #[serde(flatten)]
    need: &'a Need,
    #[serde(flatten)]
    line: &'a Line,
}

/// The order of a plan.
pub(super) fn lines(plan: &Plan) -> Vec<OrderEntry<'_>> {
    plan.needs.needs.iter().zip(&plan.order.lines).map(|(need, line)| OrderEntry { need, line }).collect()
}
