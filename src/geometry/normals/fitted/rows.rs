//! The equations of the fit.

use super::Net;
use super::shape::{Bend, Edge, Hinge, Weld, frame};
use super::solve::Row;
use crate::geometry::mesh::Vector;

/// An edge that turns further than this (in radians) counts less, in proportion: its equation is the less exact.
const EXACT_TURN: f64 = 0.05;
/// Weight of the wish that walls go straight, beside 1 for an edge. At 0.1 the chord equations' own errors run along a ring of
/// points; at 1 a barrelled wall is straightened.
const STRAIGHT: f64 = 0.3;
/// A facet that turns along its straight line by more than this share of its bend across is not of a wall, and the wish fades. At
/// 0.1 fillets are straightened along their ring.
const STRAIGHT_SHARE: f64 = 0.05;
/// Weight of the wish that the bend goes on across an edge. Without it the normals round an oval swing from point to point by
/// degrees; at 0.3 the ends of round corners are dragged along by their flats.
const GOES_ON: f64 = 0.1;
/// A break of the bend that is more than this share of it is drawn, and the wish fades.
const BREAK_SHARE: f64 = 0.25;
/// A facet turns by this much at least, for shares of it.
const LEAST_TURN: f64 = 1e-6;

/// Weight of the wish that the surface goes on smoothly across a crack. At 1 the far side's own errors come across.
const SEAM: f64 = 0.3;

impl Net<'_> {
    /// A node on a seam has the normal that lies beside it.
    pub(super) fn weld_rows(&self, welds: &[Weld], normals: &[Vector], frames: &[[Vector; 2]]) -> Vec<Row> {
        let mut rows = Vec::with_capacity(2 * welds.len());
        for Weld { node, beside } in welds {
            let between: Vector = beside.iter().map(|&(end, share)| normals[end] * share).sum();
            let Some(between) = between.try_normalize(0.0) else { continue };
            for axis in frames[*node] {
                let entry = |node: usize, share: f64| {
                    let by = axis * (SEAM * share);
                    (!self.anchored[node]).then(|| (node as u32, frames[node].map(|own| by.dot(&own))))
                };
                let off = SEAM * (normals[*node] - between).dot(&axis);
                let [one, other] = beside.map(|(end, share)| entry(end, -share));
                rows.push(Row::new(off, [entry(*node, 1.0), one, other]));
            }
        }
        rows
    }

    /// All equations, linear in the steps of the nodes within their frames.
    pub(super) fn rows(
        &self,
        edges: &[Edge],
        hinges: &[Hinge],
        normals: &[Vector],
        bends: &[Bend],
        frames: &[[Vector; 2]],
    ) -> Vec<Row> {
        let mut rows = Vec::with_capacity(3 * edges.len() + 2 * hinges.len());
        let entry = |node: usize, by: Vector| {
            let [one, other] = frames[node];
            (!self.anchored[node]).then(|| (node as u32, [by.dot(&one), by.dot(&other)]))
        };
        for Edge { nodes: [i, j], along, faces } in edges {
            let turn = (normals[*j] - normals[*i]).norm();
            let weight = if turn > EXACT_TURN { EXACT_TURN / turn } else { 1.0 };
            let off = (normals[*i] + normals[*j]).dot(along);
            rows.push(Row::new(weight * off, [entry(*i, along * weight), entry(*j, along * weight)]));
            for &face in faces {
                let bend = &bends[face];
                let leans = (normals[*j] - normals[*i]).dot(&bend.straight);
                let share = leans / (STRAIGHT_SHARE * bend.turn.max(LEAST_TURN));
                let runs = bend.straight.dot(along);
                let weight = STRAIGHT * runs * runs / (1.0 + share * share);
                let by = bend.straight * weight;
                rows.push(Row::new(weight * leans, [entry(*i, -by), entry(*j, by)]));
            }
        }
        for Hinge { nodes, shares, faces } in hinges {
            let [own, other] = faces.map(|face| &bends[face]);
            let Some(middle) = (normals[nodes[0]] + normals[nodes[1]]).try_normalize(0.0) else { continue };
            if !own.is_like(other) {
                continue;
            }
            let axes = frame(&middle);
            let broken: Vector = nodes.iter().zip(shares).map(|(&node, share)| normals[node] * *share).sum();
            let parts = axes.map(|axis| broken.dot(&axis));
            let share = (parts[0] * parts[0] + parts[1] * parts[1]).sqrt() / (BREAK_SHARE * own.turn.max(LEAST_TURN));
            let weight = GOES_ON / (1.0 + share * share);
            for (axis, part) in axes.iter().zip(parts) {
                let of = |k: usize| entry(nodes[k], axis * (weight * shares[k]));
                rows.push(Row::new(weight * part, [of(0), of(1), of(2), of(3)]));
            }
        }
        rows
    }
}
