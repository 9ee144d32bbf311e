//! Balls, cones, cylinders and rings (tori) laid through points that lie on them.

use nalgebra::{SMatrix, SVector};

use crate::geometry::axes::{principal_axes, spread, square_to};
use crate::geometry::mesh::{Point, Vector};
use crate::maths;

/// A cone's slope from its axis stays clear of a plane's.
const FLATTEST_COSINE: f64 = 0.05;
/// Rounds of Levenberg and Marquardt, the damping they begin with, and the gain under which they end.
const ROUNDS: usize = 20;
const DAMPING: f64 = 1e-6;
const LEAST_GAIN: f64 = 1e-3;
/// Places closer than so many times the points' own error, or than this share of their spread, are one.
const SAME_PLACE: f64 = 20.0;
const LEAST_APART: f64 = 1e-4;
/// A start that is off by more than this share of the points' spread leads nowhere.
const WORST_START: f64 = 0.3;

/// The kinds of surfaces, in the order in which they are preferred.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// Cylinders too.
    Cone,
    Ball,
    Ring,
}

impl Kind {
    pub(super) const ALL: [Self; 3] = [Self::Cone, Self::Ball, Self::Ring];

    /// So many points at least tell one from whatever else is smooth: its unknowns and a few to spare.
    pub(super) const fn least_points(self) -> usize {
        match self {
            Self::Ball | Self::Cone => 9,
            Self::Ring => 12,
        }
    }
}

/// What is turned about the axis.
#[derive(Debug, Clone, Copy)]
enum Profile {
    /// No axis: all points are this far from the origin.
    Ball { radius: f64 },
    /// A straight line with this unit normal (outward, up) and distance from the origin.
    Line { outward: f64, up: f64, off: f64 },
    /// A circle about a point so far out and up.
    Arc { out: f64, up: f64, radius: f64 },
}

/// A surface of revolution, about an origin near its points and in units of their spread.
#[derive(Debug, Clone, Copy)]
pub(super) struct Round {
    middle_mm: Point,
    unit_mm: f64,
    origin: Vector,
    axis: Vector,
    profile: Profile,
    /// Which side is outward.
    sign: f64,
}

type Step = SVector<f64, 7>;

/// Where a point lies beside the profile.
struct Place {
    /// How far off the surface.
    off: f64,
    /// The profile's normal, outward from the axis and along it.
    outward: f64,
    up: f64,
    /// Unit vector from the axis to the point, and the point's place along the axis and from it.
    from_axis: Vector,
    along: f64,
    away: f64,
}

impl Round {
    /// The surface of a kind that passes through points with these rough normals, if its search gets anywhere.
    pub(super) fn through(kind: Kind, points_mm: &[Point], normals: &[Vector]) -> Option<Self> {
        let middle: Vector = points_mm.iter().map(|point| point.coords).sum::<Vector>() / points_mm.len() as f64;
        let middle_mm = Point::from(middle);
        let unit_mm = points_mm.iter().map(|point| (point - middle_mm).norm()).fold(0.0, f64::max);
        if unit_mm <= 0.0 {
            return None;
        }
        let points: Vec<Vector> = points_mm.iter().map(|point| (point - middle_mm) / unit_mm).collect();
        let (origin, axis, profile) = match kind {
            Kind::Ball => ball(&points, normals)?,
            Kind::Cone => cone(&points, normals)?,
            Kind::Ring => ring(&points, normals)?,
        };
        let mut start = Self { middle_mm, unit_mm, origin, axis, profile, sign: 1.0 };
        start.sign = start.side_of(points_mm, normals);
        let start_off = points.iter().map(|point| start.place(point).off.abs()).fold(0.0, f64::max);
        (start_off < WORST_START).then(|| start.settled(&points))
    }

    /// The same surface laid anew through points, its present place to begin with.
    pub(super) fn relaid(&self, points_mm: &[Point]) -> Self {
        let points: Vec<Vector> = points_mm.iter().map(|point| (point - self.middle_mm) / self.unit_mm).collect();
        self.settled(&points)
    }

    /// How far a point lies off the surface, in mm.
    pub(super) fn off_mm(&self, point_mm: &Point) -> f64 {
        self.place(&((point_mm - self.middle_mm) / self.unit_mm)).off.abs() * self.unit_mm
    }

    /// The surface's normal at a point.
    pub(super) fn normal(&self, point_mm: &Point) -> Vector {
        let place = self.place(&((point_mm - self.middle_mm) / self.unit_mm));
        (place.from_axis * place.outward + self.axis * place.up) * self.sign
    }

    /// At how many places points lie along the profile, and how many round the axis.
    pub(super) fn places(&self, points_mm: &[Point], within_mm: f64) -> [usize; 2] {
        let across = square_to(&self.axis);
        let places = points_mm.iter().map(|point| self.place(&((point - self.middle_mm) / self.unit_mm)));
        let (mut rows, mut round) = (Vec::new(), Vec::new());
        for place in places {
            rows.push(match self.profile {
                Profile::Line { outward, up, .. } => outward * place.along - up * place.away,
                Profile::Ball { .. } | Profile::Arc { .. } => maths::atan2(place.up, place.outward),
            });
            round.push(maths::atan2(across[1].dot(&place.from_axis), across[0].dot(&place.from_axis)));
        }
        // What is one place but for rounding: an angle on the profile's and the axis' circles.
        let apart = (SAME_PLACE * within_mm / self.unit_mm).max(LEAST_APART);
        let on_line = matches!(self.profile, Profile::Line { .. });
        [(rows, !on_line), (round, true)].map(|(mut places, is_angle)| {
            places.sort_by(f64::total_cmp);
            let n = 1 + places.windows(2).filter(|pair| pair[1] - pair[0] > apart).count();
            // One place at half a turn is told as that or as less than nothing.
            let closes = match places[..] {
                [first, .., last] => is_angle && n > 1 && first + std::f64::consts::TAU - last <= apart,
                _ => false,
            };
            n - usize::from(closes)
        })
    }

    fn side_of(&self, points_mm: &[Point], normals: &[Vector]) -> f64 {
        let agree: f64 = points_mm.iter().zip(normals).map(|(point, normal)| self.normal(point).dot(normal)).sum();
        if agree < 0.0 { -1.0 } else { 1.0 }
    }

    fn place(&self, point: &Vector) -> Place {
        let from = point - self.origin;
        let along = from.dot(&self.axis);
        let radial = from - self.axis * along;
        let away = radial.norm();
        let from_axis = if away > 0.0 { radial / away } else { Vector::zeros() };
        let (off, outward, up) = match self.profile {
            Profile::Ball { radius } => circle(away, along, radius),
            Profile::Line { outward, up, off } => (outward * away + up * along - off, outward, up),
            Profile::Arc { out, up, radius } => circle(away - out, along - up, radius),
        };
        Place { off, outward, up, from_axis, along, away }
    }

    /// How far a point is off, and by how much that changes with each unknown: the origin across the axis, the axis' lean, and
    /// the profile's own.
    fn row(&self, point: &Vector, across: &[Vector; 2]) -> (f64, Step) {
        let Place { off, outward, up, from_axis, along, away } = self.place(point);
        let [one, other] = across.map(|side| side.dot(&from_axis));
        let lean = up * away - outward * along;
        let (leans, own) = match self.profile {
            Profile::Ball { .. } => (0.0, [-up, -1.0, 0.0]),
            Profile::Line { outward: c, up: s, .. } => (lean, [s * away - c * along, -1.0, 0.0]),
            Profile::Arc { .. } => (lean, [-outward, -up, -1.0]),
        };
        let axis = [-outward * one, -outward * other, leans * one, leans * other];
        (off, Step::from_iterator(axis.into_iter().chain(own)))
    }

    fn moved(&self, step: &Step, across: &[Vector; 2]) -> Self {
        let mut moved = *self;
        moved.origin += across[0] * step[0] + across[1] * step[1];
        moved.axis = (self.axis + across[0] * step[2] + across[1] * step[3]).normalize();
        moved.profile = match self.profile {
            Profile::Ball { radius } => {
                moved.origin += self.axis * step[4];
                Profile::Ball { radius: radius + step[5] }
            }
            Profile::Line { outward, up, off } => {
                let (turned_out, turned_up) = (outward + up * step[4], up - outward * step[4]);
                let length = (turned_out * turned_out + turned_up * turned_up).sqrt();
                Profile::Line { outward: turned_out / length, up: turned_up / length, off: off + step[5] }
            }
            Profile::Arc { out, up, radius } => {
                Profile::Arc { out: out + step[4], up: up + step[5], radius: radius + step[6] }
            }
        };
        moved
    }

    fn cost(&self, points: &[Vector]) -> f64 {
        points.iter().map(|point| self.place(point).off).map(|off| off * off).sum()
    }

    /// Least squares by damped Gauss-Newton steps (Levenberg 1944, Marquardt 1963).
    fn settled(mut self, points: &[Vector]) -> Self {
        let mut cost = self.cost(points);
        let mut damping = DAMPING;
        for _ in 0..ROUNDS {
            let across = square_to(&self.axis);
            let (mut matrix, mut right) = (SMatrix::<f64, 7, 7>::zeros(), Step::zeros());
            for point in points {
                let (off, row) = self.row(point, &across);
                matrix += row * row.transpose();
                right -= row * off;
            }
            let scale = matrix.trace() / 7.0;
            for own in 0..7 {
                matrix[(own, own)] += damping * matrix[(own, own)] + 1e-13 * scale;
            }
            let Some(step) = matrix.cholesky().map(|cholesky| cholesky.solve(&right)) else { break };
            let moved = self.moved(&step, &across);
            let moved_cost = moved.cost(points);
            if moved_cost.is_finite() && moved_cost < cost {
                let gain = 1.0 - moved_cost / cost;
                (self, cost) = (moved, moved_cost);
                damping *= 0.1;
                if gain < LEAST_GAIN {
                    break;
                }
            } else {
                damping = 10.0 * damping.max(DAMPING);
                if damping > 1.0 {
                    break;
                }
            }
        }
        self
    }
}

/// How far off a circle about nothing, and its normal there.
fn circle(x: f64, y: f64, radius: f64) -> (f64, f64, f64) {
    let length = (x * x + y * y).sqrt();
    let scale = if length > 0.0 { 1.0 / length } else { 0.0 };
    (length - radius, x * scale, y * scale)
}

/// The ball whose rays the normals are.
fn ball(points: &[Vector], normals: &[Vector]) -> Option<(Vector, Vector, Profile)> {
    // Least squares of point + r normal = centre: r by what varies.
    let middle: Vector = normals.iter().sum::<Vector>() / normals.len() as f64;
    let (mut both, mut own) = (0.0, 0.0);
    for (point, normal) in points.iter().zip(normals) {
        let turned = normal - middle;
        both += turned.dot(point);
        own += turned.norm_squared();
    }
    let reach = (own > 0.0).then(|| both / own)?;
    Some((-middle * reach, Vector::z(), Profile::Ball { radius: reach.abs() }))
}

/// The cone, or cylinder, whose normals all make one angle with its axis.
fn cone(points: &[Vector], normals: &[Vector]) -> Option<(Vector, Vector, Profile)> {
    let count = normals.len() as f64;
    let middle: Vector = normals.iter().sum::<Vector>() / count;
    let axis = principal_axes(spread(normals.iter().map(|normal| (normal - middle, 1.0))))[2].direction;
    let up = middle.dot(&axis);
    let outward = (1.0 - up * up).max(0.0).sqrt();
    if outward < FLATTEST_COSINE {
        return None;
    }
    // The axis is nearest to all lines along the normals, seen along it.
    let across = square_to(&axis);
    let seen = |vector: &Vector| nalgebra::Vector2::new(vector.dot(&across[0]), vector.dot(&across[1]));
    let (mut matrix, mut right) = (nalgebra::Matrix2::zeros(), nalgebra::Vector2::zeros());
    for (point, normal) in points.iter().zip(normals) {
        let along = seen(normal).try_normalize(0.0)?;
        let beside = nalgebra::Vector2::new(-along.y, along.x);
        matrix += beside * beside.transpose();
        right += beside * beside.dot(&seen(point));
    }
    let place = matrix.try_inverse()? * right;
    let origin = across[0] * place.x + across[1] * place.y;
    let inward: f64 =
        points.iter().zip(normals).map(|(point, normal)| seen(&(point - origin)).dot(&seen(normal))).sum();
    let up = if inward < 0.0 { -up } else { up };
    let off = points.iter().map(|point| outward * seen(&(point - origin)).norm() + up * point.dot(&axis)).sum::<f64>()
        / count;
    Some((origin, axis, Profile::Line { outward, up, off }))
}

/// The ring whose axis all lines along the normals meet (Pottmann and Wallner 2001: normals of a surface of revolution lie in a
/// linear complex).
fn ring(points: &[Vector], normals: &[Vector]) -> Option<(Vector, Vector, Profile)> {
    let (mut of_moments, mut mixed, mut of_normals) =
        (nalgebra::Matrix3::zeros(), nalgebra::Matrix3::zeros(), nalgebra::Matrix3::identity() * 1e-12);
    for (point, normal) in points.iter().zip(normals) {
        let moment = point.cross(normal);
        of_moments += moment * moment.transpose();
        mixed += moment * normal.transpose();
        of_normals += normal * normal.transpose();
    }
    let inverse = of_normals.try_inverse()?;
    let left = of_moments - mixed * inverse * mixed.transpose();
    let rows = [0, 1, 2].map(|row| [0, 1, 2].map(|column| 0.5 * (left[(row, column)] + left[(column, row)])));
    let axis = principal_axes(rows)[2].direction;
    let origin = axis.cross(&-(inverse * mixed.transpose() * axis));
    let (mut matrix, mut right) = (nalgebra::Matrix3::zeros(), Vector::zeros());
    for point in points {
        let along = (point - origin).dot(&axis);
        let away = (point - origin - axis * along).norm();
        let row = Vector::new(2.0 * away, 2.0 * along, 1.0);
        matrix += row * row.transpose();
        right += row * (away * away + along * along);
    }
    let found = matrix.try_inverse()? * right;
    let squared = found.z + found.x * found.x + found.y * found.y;
    (squared > 0.0).then(|| (origin, axis, Profile::Arc { out: found.x, up: found.y, radius: squared.sqrt() }))
}
