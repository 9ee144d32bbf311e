//! How long a resin stays liquid: its maker's table of gel times, read between its points and never past them.
//!
//! Between two points the logarithm of the time runs straight. Gel times fall by a like factor for each degree, as rates of
//! reaction do, and the straight line of logarithms nowhere lies over that of the times: what is read is never longer than
//! plain interpolation gives, so that a mix errs on the small side.
//!
//! A table need not be full. Each temperature is a row: the share of catalyst is looked up within the rows that hold it
//! between two of their points, then the temperature between two of those rows. On a full grid this is bilinear, and going
//! by temperature first gives the same.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::error::LaminateError;
use super::figure::{Figure, Spread};
use super::materials::Family;
use crate::maths::{exp, ln};

/// One gel time of a maker's table.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GelPoint {
    /// Temperature of shop and resin, in deg C.
    pub temperature_c: f64,
    /// Catalyst in percent of the mass; left out for an epoxy, whose ratio is fixed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub catalyst_percent: Option<f64>,
    /// Gel time in the cup, in minutes.
    pub min: Figure,
}

impl GelPoint {
    /// The share, 0 for an epoxy's fixed ratio.
    fn share(&self) -> f64 {
        self.catalyst_percent.unwrap_or(0.0)
    }

    /// A key for lists, its unit at the end: `gel at 20 C and 2 %_min`.
    #[must_use]
    pub fn key(&self) -> String {
        let share = self.catalyst_percent.map_or_else(String::new, |percent| format!(" and {percent} %"));
        format!("gel at {} C{share}_min", self.temperature_c)
    }
}

/// A table in rows of one temperature each, coldest first.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct GelTable {
    rows: Vec<Row>,
}

#[derive(Debug, Clone, PartialEq)]
struct Row {
    temperature_c: f64,
    /// Share and time, the least share first.
    times: Vec<(f64, Spread)>,
}

impl GelTable {
    /// The table of some points.
    #[must_use]
    pub fn of(points: &[GelPoint]) -> Self {
        let mut points: Vec<&GelPoint> = points.iter().collect();
        points.sort_by(|a, b| a.temperature_c.total_cmp(&b.temperature_c).then(a.share().total_cmp(&b.share())));
        let mut rows: Vec<Row> = Vec::new();
        for point in points {
            let time = (point.share(), point.min.spread());
            match rows.last_mut() {
                Some(row) if row.temperature_c == point.temperature_c => row.times.push(time),
                _ => rows.push(Row { temperature_c: point.temperature_c, times: vec![time] }),
            }
        }
        Self { rows }
    }

    /// There is nothing in it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// Its temperatures, coldest first.
    pub fn temperatures_c(&self) -> impl DoubleEndedIterator<Item = f64> {
        self.rows.iter().map(|row| row.temperature_c)
    }

    /// Every share that stands in it, the least first.
    #[must_use]
    pub fn shares_percent(&self) -> Vec<f64> {
        let mut shares: Vec<f64> = self.rows.iter().flat_map(|row| &row.times).map(|(share, _)| *share).collect();
        shares.sort_by(f64::total_cmp);
        shares.dedup();
        shares
    }

    /// Gel time in minutes at a temperature and a share of catalyst (0 for an epoxy). Nothing outside the table, and nothing
    /// where it has a gap.
    #[must_use]
    pub fn gel_min(&self, temperature_c: f64, share_percent: f64) -> Option<Spread> {
        let column: Vec<(f64, Spread)> =
            self.rows.iter().filter_map(|row| Some((row.temperature_c, between(&row.times, share_percent)?))).collect();
        between(&column, temperature_c)
    }
}

/// The time at a place between two of some times in order.
fn between(times: &[(f64, Spread)], at: f64) -> Option<Spread> {
    let above = times.iter().position(|(place, _)| *place >= at)?;
    let (place, time) = times[above];
    if place == at {
        return Some(time);
    }
    let (before, earlier) = *times.get(above.checked_sub(1)?)?;
    let part = (at - before) / (place - before);
    let between = |from: f64, to: f64| if from == to { from } else { exp(ln(from) + part * (ln(to) - ln(from))) };
    Some(Spread {
        low: between(earlier.low, time.low),
        likely: between(earlier.likely, time.likely),
        high: between(earlier.high, time.high),
    })
}

/// A time of this much and less is a slip of the pen, and has no logarithm at 0.
const LEAST_MIN: f64 = 0.1;

/// Whether a table can be what it says.
///
/// # Errors
/// [`LaminateError::OutOfRange`] if a point lacks its share or has one too many, if a point is there twice, or if a warmer
/// or a stronger mix is said to gel no sooner.
pub(super) fn check(
    kind: &'static str,
    name: &str,
    family: Family,
    points: Option<&Vec<GelPoint>>,
) -> Result<(), LaminateError> {
    let Some(points) = points else { return Ok(()) };
    let wrong = |value: f64, wanted| {
        Err(LaminateError::OutOfRange { kind, name: name.to_owned(), field: "gel_min", value, wanted })
    };
    for point in points {
        if !(-50.0..=100.0).contains(&point.temperature_c) {
            return wrong(point.temperature_c, "a table of temperatures in deg C");
        }
        if point.min.low < LEAST_MIN {
            return wrong(point.min.low, "a table of minutes, each 0.1 or more");
        }
        match (family, point.catalyst_percent) {
            (Family::Epoxy, Some(percent)) => {
                return wrong(percent, "without `catalyst_percent`: an epoxy's ratio is fixed");
            }
            (Family::Polyester | Family::Vinylester, None) => {
                return wrong(point.min.value, "a table whose every point has its `catalyst_percent`");
            }
            (_, Some(percent)) if !(LEAST_MIN..=10.0).contains(&percent) => {
                return wrong(percent, "a table of `catalyst_percent` from 0.1 to 10");
            }
            _ => {}
        }
    }
    let table = GelTable::of(points);
    for row in &table.rows {
        for pair in row.times.windows(2) {
            if pair[0].0 == pair[1].0 {
                return wrong(pair[0].1.likely, "one time for each temperature and share");
            }
            if pair[1].1.likely >= pair[0].1.likely {
                return wrong(pair[1].1.likely, "shorter where there is more catalyst");
            }
        }
    }
    // Rows are straight between any two shares of the table, so that these are all places where they could cross.
    for share in table.shares_percent() {
        let times: Vec<f64> = table.temperatures_c().filter_map(|at| Some(table.in_row(at, share)?.likely)).collect();
        if let Some(pair) = times.windows(2).find(|pair| pair[1] >= pair[0]) {
            return wrong(pair[1], "shorter where it is warmer");
        }
    }
    Ok(())
}

impl GelTable {
    fn in_row(&self, temperature_c: f64, share_percent: f64) -> Option<Spread> {
        let row = self.rows.iter().find(|row| row.temperature_c == temperature_c)?;
        between(&row.times, share_percent)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table(points: &[(f64, f64, f64)]) -> Vec<GelPoint> {
        let point = |&(temperature_c, percent, min): &(f64, f64, f64)| GelPoint {
            temperature_c,
            catalyst_percent: Some(percent),
            min: Figure::given(min),
        };
        points.iter().map(point).collect()
    }

    const GRID: [(f64, f64, f64); 6] = [
        (15.0, 1.0, 80.0),
        (15.0, 2.0, 40.0),
        (20.0, 1.0, 41.0),
        (20.0, 2.0, 17.0),
        (25.0, 1.0, 19.0),
        (25.0, 2.0, 9.0),
    ];

    /// Source: own sum. Half-way between 40 and 10 min the time is their geometric mean, 20 min.
    #[test]
    fn half_way_between_two_points_is_their_geometric_mean() {
        let table = GelTable::of(&table(&[(16.0, 2.0, 40.0), (24.0, 2.0, 10.0)]));
        assert!((table.gel_min(20.0, 2.0).expect("inside").likely - 20.0).abs() < 1e-12);
        assert_eq!(table.gel_min(24.0, 2.0).expect("a point").likely, 10.0);
    }

    /// Source: the definition of bilinear interpolation, on logarithms, by the other route: temperature first.
    #[test]
    fn by_temperature_first_or_by_share_first_gives_the_same() {
        let table = GelTable::of(&table(&GRID));
        let log = |from: f64, to: f64, part: f64| exp((1.0 - part) * ln(from) + part * ln(to));
        for (temperature_c, share) in [(17.3, 1.41), (15.0, 1.9), (22.6, 1.0), (24.9, 1.999)] {
            let found = table.gel_min(temperature_c, share).expect("inside").likely;
            let (low, high) = if temperature_c < 20.0 { (15.0, 20.0) } else { (20.0, 25.0) };
            let at = |t: f64, c: f64| GRID.iter().find(|point| (point.0, point.1) == (t, c)).expect("a point").2;
            let along = (temperature_c - low) / (high - low);
            let [weak, strong] = [1.0, 2.0].map(|c| log(at(low, c), at(high, c), along));
            let other = log(weak, strong, share - 1.0);
            assert!((found - other).abs() < 1e-9, "{temperature_c} C, {share} %: {found} and {other}");
        }
    }

    #[test]
    fn nothing_is_read_past_the_table_or_in_its_gaps() {
        let full = GelTable::of(&table(&GRID));
        for (temperature_c, share) in [(14.99, 1.5), (25.01, 1.5), (20.0, 0.99), (20.0, 2.01), (f64::NAN, 1.5)] {
            assert_eq!(full.gel_min(temperature_c, share), None, "{temperature_c} C, {share} %");
        }
        // A maker that forbids the strong mix at 25 C leaves it out.
        let gapped = GelTable::of(&table(&GRID[..5]));
        assert_eq!(gapped.gel_min(22.0, 1.5), None);
        assert!(gapped.gel_min(22.0, 1.0).is_some() && gapped.gel_min(18.0, 1.5).is_some());
    }

    #[test]
    fn it_never_reads_longer_than_plain_interpolation() {
        let table = GelTable::of(&table(&GRID));
        for step in 0..=50 {
            let temperature_c = 15.0 + 0.1 * f64::from(step);
            let plain = 40.0 + (17.0 - 40.0) * (temperature_c - 15.0) / 5.0;
            assert!(table.gel_min(temperature_c, 2.0).expect("inside").likely <= plain + 1e-12);
        }
    }

    #[test]
    fn a_table_that_cannot_be_is_refused() {
        let refused = |points: &[(f64, f64, f64)]| {
            let error = check("resin", "slow", Family::Polyester, Some(&table(points))).expect_err("it cannot be");
            error.to_string()
        };
        assert_eq!(check("resin", "slow", Family::Polyester, Some(&table(&GRID))), Ok(()));
        assert!(refused(&[(20.0, 1.0, 30.0), (25.0, 1.0, 31.0)]).contains("shorter where it is warmer"));
        assert!(refused(&[(20.0, 1.0, 30.0), (20.0, 2.0, 30.0)]).contains("more catalyst"));
        assert!(refused(&[(20.0, 1.0, 30.0), (20.0, 1.0, 20.0)]).contains("one time for each"));
        assert!(refused(&[(20.0, 0.0, 30.0)]).contains("from 0.1 to 10"));
        assert!(refused(&[(20.0, 1.0, 0.0)]).contains("minutes"));
        assert!(refused(&[(f64::NAN, 1.0, 20.0)]).contains("deg C"));
        // Between given shares rows may cross without any two of their points doing so.
        let crossing = [(15.0, 1.0, 60.0), (15.0, 2.0, 20.0), (20.0, 1.0, 50.0), (20.0, 1.5, 40.0), (20.0, 2.0, 15.0)];
        assert!(refused(&crossing).contains("shorter where it is warmer"));
        let epoxy = check("resin", "epoxy", Family::Epoxy, Some(&table(&GRID))).expect_err("a fixed ratio");
        assert!(epoxy.to_string().contains("ratio is fixed"));
    }
}
