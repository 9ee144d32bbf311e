//! When there is work: stretches of hours by weekday, from a first day on, without the days away.

use std::borrow::Cow;
use std::fmt;

use chrono::{Datelike, Days as ChronoDays, NaiveDate};
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{self, Deserializer, MapAccess, Visitor};
use serde::{Deserialize, Serialize, Serializer};

/// Minutes of a day.
pub const DAY_MIN: u32 = 24 * 60;
/// Days that are planned at most: past twenty years nothing is a plan.
pub const MOST_DAYS: u32 = 7_300;

/// A civil date.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Date(pub NaiveDate);

impl Date {
    fn from_written(text: &str) -> Result<Self, String> {
        NaiveDate::parse_from_str(text.trim(), "%Y-%m-%d")
            .ok()
            .filter(|date| (1900..=2200).contains(&date.year()))
            .map(Self)
            .ok_or_else(|| format!("{text:?} is no date: write year, month and day as 2027-03-01"))
    }

    /// The date so many days later; nothing past the end of the calendar.
    #[must_use]
    pub fn plus_days(self, days: u32) -> Option<Self> {
        self.0.checked_add_days(ChronoDays::new(u64::from(days))).map(Self)
    }
}

impl fmt::Display for Date {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{}", self.0.format("%Y-%m-%d"))
    }
}

impl Serialize for Date {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Date {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Written;
        impl<'de> Visitor<'de> for Written {
            type Value = Date;

            fn expecting(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
                formatter.write_str("a date such as 2027-03-01")
            }

            fn visit_str<E: de::Error>(self, text: &str) -> Result<Date, E> {
                Date::from_written(text).map_err(E::custom)
            }

            // A bare date of TOML comes as a table of its own kind.
            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Date, A::Error> {
                let bare = toml::value::Datetime::deserialize(de::value::MapAccessDeserializer::new(map))?;
                Date::from_written(&bare.to_string()).map_err(de::Error::custom)
            }
        }
        deserializer.deserialize_any(Written)
    }
}

impl JsonSchema for Date {
    fn schema_name() -> Cow<'static, str> {
        "Date".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A date, bare or in quotes: 2027-03-01.",
            "title": "a date such as 2027-03-01", "type": "string", "format": "date", "minLength": 1
        })
    }
}

/// A day of the week.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Weekday {
    /// Monday.
    Mon,
    /// Tuesday.
    Tue,
    /// Wednesday.
    Wed,
    /// Thursday.
    Thu,
    /// Friday.
    Fri,
    /// Saturday.
    Sat,
    /// Sunday.
    Sun,
}

impl Weekday {
    /// All of them, Monday first.
    pub const ALL: [Self; 7] = [Self::Mon, Self::Tue, Self::Wed, Self::Thu, Self::Fri, Self::Sat, Self::Sun];

    /// The short name.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Mon => "Mon",
            Self::Tue => "Tue",
            Self::Wed => "Wed",
            Self::Thu => "Thu",
            Self::Fri => "Fri",
            Self::Sat => "Sat",
            Self::Sun => "Sun",
        }
    }
}

/// A time of the day, in minutes from midnight; 24:00 ends a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Clock(pub u32);

impl Clock {
    fn from_written(text: &str) -> Result<Self, String> {
        let parts = text.trim().split_once(':').and_then(|(hours, minutes)| {
            Some((hours.parse::<u32>().ok()?, minutes.parse::<u32>().ok().filter(|_| minutes.len() == 2)?))
        });
        match parts {
            Some((hours, minutes)) if hours <= 24 && minutes < 60 && hours * 60 + minutes <= DAY_MIN => {
                Ok(Self(hours * 60 + minutes))
            }
            _ => Err(format!("{text:?} is no time of the day: write hours and minutes as \"18:30\"")),
        }
    }
}

impl fmt::Display for Clock {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{:02}:{:02}", self.0 / 60, self.0 % 60)
    }
}

impl Serialize for Clock {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Clock {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Self::from_written(&String::deserialize(deserializer)?).map_err(de::Error::custom)
    }
}

impl JsonSchema for Clock {
    fn schema_name() -> Cow<'static, str> {
        "Clock".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A time of the day in quotes: \"18:30\".",
            "title": "a time such as \"18:30\"", "type": "string", "minLength": 1
        })
    }
}

/// Hours in which there is work, the same every week.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "WrittenHours", deny_unknown_fields)]
pub struct Hours {
    /// Days of the week.
    pub days: Vec<Weekday>,
    /// When work begins.
    pub from: Clock,
    /// When it ends, cleaning up included.
    pub to: Clock,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenHours {
    /// Days of the week: "mon", "tue", "wed", "thu", "fri", "sat", "sun".
    #[schemars(length(min = 1))]
    days: Vec<Weekday>,
    /// When work begins: "18:30".
    from: Clock,
    /// When it ends, cleaning up included: "21:30".
    to: Clock,
}

impl TryFrom<WrittenHours> for Hours {
    type Error = String;

    fn try_from(written: WrittenHours) -> Result<Self, String> {
        let WrittenHours { days, from, to } = written;
        if from >= to {
            return Err(format!(
                "hours from {from} to {to} are none: write a night as two, to \"24:00\" and from \"00:00\""
            ));
        }
        Ok(Self { days, from, to })
    }
}

/// Days without work, both ends among them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "WrittenAway", deny_unknown_fields)]
pub struct Away {
    /// The first.
    pub from: Date,
    /// The last.
    pub to: Date,
}

#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct WrittenAway {
    /// The first day away.
    from: Date,
    /// The last day away.
    to: Date,
}

impl TryFrom<WrittenAway> for Away {
    type Error = String;

    fn try_from(WrittenAway { from, to }: WrittenAway) -> Result<Self, String> {
        if from > to {
            return Err(format!("away from {from} to {to} ends before it begins"));
        }
        Ok(Self { from, to })
    }
}

/// A stretch of work, in minutes from the midnight that begins day 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stretch {
    /// When it begins.
    pub from_min: u32,
    /// When it ends.
    pub to_min: u32,
}

impl Stretch {
    /// How long it is.
    #[must_use]
    pub const fn minutes(&self) -> u32 {
        self.to_min - self.from_min
    }
}

/// The hours of a job.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Working {
    /// Every week's hours.
    pub week: Vec<Hours>,
    /// The job gives them; otherwise they are assumed.
    pub told: bool,
    /// Day 1; without it day 1 is a Monday.
    pub start: Option<Date>,
    /// Days without work.
    pub away: Vec<Away>,
}

impl Working {
    /// The job's hours, or the assumed ones: weekday evenings of three hours and weekend days of six.
    #[must_use]
    pub fn of(week: Option<&[Hours]>, start: Option<Date>, away: Option<&[Away]>) -> Self {
        let told = week.filter(|week| !week.is_empty());
        let away = away.map(<[Away]>::to_vec).unwrap_or_default();
        Self { week: told.map_or_else(assumed, <[Hours]>::to_vec), told: told.is_some(), start, away }
    }

    /// The weekday of a day, from 0.
    #[must_use]
    pub fn weekday(&self, day: u32) -> Weekday {
        let first = self.start.map_or(0, |start| start.0.weekday().num_days_from_monday());
        Weekday::ALL[((first + day % 7) % 7) as usize]
    }

    /// The date of a day, from 0; nothing without a start.
    #[must_use]
    pub fn date(&self, day: u32) -> Option<Date> {
        self.start?.plus_days(day)
    }

    /// The stretches of a day, from 0, in order; hours that touch or overlap are one.
    #[must_use]
    pub fn stretches_of(&self, day: u32) -> Vec<Stretch> {
        if let Some(date) = self.date(day)
            && self.away.iter().any(|away| (away.from..=away.to).contains(&date))
        {
            return Vec::new();
        }
        self.usual_stretches_of(self.weekday(day))
            .into_iter()
            .map(|usual| Stretch { from_min: day * DAY_MIN + usual.from_min, to_min: day * DAY_MIN + usual.to_min })
            .collect()
    }

    /// The stretches of a weekday on which nobody is away, from that day's midnight.
    #[must_use]
    pub fn usual_stretches_of(&self, weekday: Weekday) -> Vec<Stretch> {
        let on_day = self.week.iter().filter(|hours| hours.days.contains(&weekday));
        let mut all: Vec<Stretch> =
            on_day.map(|hours| Stretch { from_min: hours.from.0, to_min: hours.to.0 }).collect();
        all.sort_by_key(|stretch| (stretch.from_min, stretch.to_min));
        let mut joined: Vec<Stretch> = Vec::new();
        for stretch in all {
            match joined.last_mut() {
                Some(last) if stretch.from_min <= last.to_min => last.to_min = last.to_min.max(stretch.to_min),
                _ => joined.push(stretch),
            }
        }
        joined
    }

    /// The longest stretch of a week, with its day.
    #[must_use]
    pub fn longest(&self) -> Option<(Weekday, u32)> {
        let all = Weekday::ALL.into_iter().flat_map(|weekday| {
            self.usual_stretches_of(weekday).into_iter().map(move |stretch| (weekday, stretch.minutes()))
        });
        all.fold(None, |longest, (weekday, minutes)| match longest {
            Some((_, most)) if most >= minutes => longest,
            _ => Some((weekday, minutes)),
        })
    }
}

fn assumed() -> Vec<Hours> {
    use Weekday::{Fri, Mon, Sat, Sun, Thu, Tue, Wed};
    vec![
        Hours { days: vec![Mon, Tue, Wed, Thu, Fri], from: Clock(18 * 60 + 30), to: Clock(21 * 60 + 30) },
        Hours { days: vec![Sat, Sun], from: Clock(10 * 60), to: Clock(16 * 60) },
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, Deserialize)]
    struct Written {
        start: Option<Date>,
        #[serde(default)]
        hours: Vec<Hours>,
        #[serde(default)]
        away: Vec<Away>,
    }

    fn read(text: &str) -> Result<Working, String> {
        let written: Written = toml::from_str(text).map_err(|error| error.to_string())?;
        Ok(Working::of(Some(&written.hours), written.start, Some(&written.away)))
    }

    #[test]
    fn a_date_is_read_bare_or_in_quotes_and_gives_the_weekday() {
        for text in ["start = 2027-03-01", "start = '2027-03-01'"] {
            let working = read(text).expect("a date");
            assert_eq!(working.weekday(0), Weekday::Mon, "1 March 2027 is a Monday");
            assert_eq!(working.date(27).map(|date| date.to_string()).as_deref(), Some("2027-03-28"));
        }
        assert!(read("start = '1 March'").is_err_and(|message| message.contains("write year, month and day")));
        assert!(read("start = 2027-02-29").is_err());
    }

    #[test]
    fn days_away_have_no_hours() {
        let working = read("start = 2027-03-01\naway = [{ from = 2027-03-02, to = '2027-03-03' }]").expect("hours");
        let n: Vec<usize> = (0..7).map(|day| working.stretches_of(day).len()).collect();
        assert_eq!(n, [1, 0, 0, 1, 1, 1, 1]);
    }

    #[test]
    fn hours_that_touch_are_one_stretch_and_a_night_is_refused() {
        let text = "hours = [{ days = ['sat'], from = '09:00', to = '12:00' }, { days = ['sat'], from = '12:00', to = '15:00' }]";
        let working = read(text).expect("hours");
        assert_eq!(working.longest(), Some((Weekday::Sat, 360)));
        let night = "hours = [{ days = ['sat'], from = '21:00', to = '02:00' }]";
        assert!(read(night).is_err_and(|message| message.contains("write a night as two")));
        assert!(read("hours = [{ days = ['sat'], from = '9', to = '12:00' }]").is_err());
    }

    #[test]
    fn without_hours_evenings_and_weekend_days_are_assumed() {
        let working = Working::of(None, None, None);
        let minutes: u32 = (0..7).flat_map(|day| working.stretches_of(day)).map(|stretch| stretch.minutes()).sum();
        assert_eq!((minutes, working.told), (5 * 180 + 2 * 360, false));
    }
}
