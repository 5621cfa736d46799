//! Is this text, number or list what its key wants?
//!
//! Numbers of places are taken from their digits, so that typed decimals stay exact. Every misfit names what was found,
//! what was expected and what to do.

use super::form::Kind;
use super::value::{Said, Span, Spot, Through, Toward};
use crate::design::said::Place;
use crate::read::nearest::nearest;
use crate::read::number;
use crate::units::{Length, LengthUnit, Slope, parse_length, parse_scale, parse_slope};
use toml::Spanned;
use toml::de::DeValue;

/// Why a value does not fit.
#[derive(Debug)]
pub(super) struct Misfit {
    pub span: Span,
    pub found: String,
    pub expected: String,
    pub help: String,
}

pub(super) type Fit<T> = Result<T, Misfit>;
type Node<'i> = Spanned<DeValue<'i>>;

/// What reading needs to know, and what it counts.
#[derive(Debug)]
pub(super) struct Reading<'a> {
    pub text: &'a str,
    pub unit: LengthUnit,
    /// Coordinates rounded to the sixth decimal.
    pub rounded: usize,
}

/// The sixteen points, clockwise from north.
const POINTS: [(&str, &str); 16] = [
    ("n", "north"),
    ("nne", "north-northeast"),
    ("ne", "northeast"),
    ("ene", "east-northeast"),
    ("e", "east"),
    ("ese", "east-southeast"),
    ("se", "southeast"),
    ("sse", "south-southeast"),
    ("s", "south"),
    ("ssw", "south-southwest"),
    ("sw", "southwest"),
    ("wsw", "west-southwest"),
    ("w", "west"),
    ("wnw", "west-northwest"),
    ("nw", "northwest"),
    ("nnw", "north-northwest"),
];

/// Compass words a misspelt direction is held against.
pub(super) const WAYS: [&str; 8] =
    ["north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest"];

/// A value as a person would call it.
pub(super) fn spoken(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(s) => format!("the text `{s}`"),
        DeValue::Integer(n) => format!("the bare number {n}"),
        DeValue::Float(n) => format!("the bare number {n}"),
        DeValue::Boolean(b) => format!("`{b}`"),
        DeValue::Datetime(_) => "a date".to_owned(),
        DeValue::Array(_) => "a list".to_owned(),
        DeValue::Table(_) => "a table".to_owned(),
    }
}

fn misfit<T>(span: Span, found: impl Into<String>, expected: impl Into<String>, help: impl Into<String>) -> Fit<T> {
    Err(Misfit { span, found: found.into(), expected: expected.into(), help: help.into() })
}

fn wrong<T>(node: &Node<'_>, expected: impl Into<String>, help: impl Into<String>) -> Fit<T> {
    misfit(node.span(), spoken(node.get_ref()), expected, help)
}

/// The digits of a number.
fn digits<'n>(value: &'n DeValue<'_>) -> Option<&'n str> {
    match value {
        DeValue::Integer(n) if n.radix() == 10 => Some(n.as_str()),
        DeValue::Float(n) => Some(n.as_str()),
        _ => None,
    }
}

impl Reading<'_> {
    /// A value of any kind but tables and alternatives, which the walk takes apart.
    pub fn fit(&mut self, kind: Kind, node: &Node<'_>) -> Fit<Said> {
        Ok(match kind {
            Kind::Text => Said::Text(self.string(node, "a text in quotes", "put it in quotes")?.to_owned()),
            Kind::Name => Said::Text(self.name(node, "a name")?),
            Kind::File => Said::Text(self.name(node, "the name of a file beside the job file")?),
            Kind::Names => Said::Names(self.names(node)?),
            Kind::Yes => match node.get_ref() {
                DeValue::Boolean(yes) => Said::Yes(*yes),
                _ => return wrong(node, "`true` or `false`", "write it without quotes"),
            },
            Kind::Whole(least, most) => Said::Number(self.number(node, least as f64, most as f64, true)?),
            Kind::Number(least, most) => Said::Number(self.number(node, least, most, false)?),
            Kind::Height => Said::Number(self.height(node)?),
            Kind::Thickness | Kind::Offset => Said::Length(self.length(node, matches!(kind, Kind::Offset))?),
            Kind::Slope => Said::Slope(self.slope(node)?),
            Kind::Scale => Said::Text(self.scale(node)?),
            Kind::Percent(most) => Said::Part(percent(node, most)?),
            Kind::Measure(units) => Said::Text(measure(node, units)?),
            Kind::Word(words) => Said::Word(word(node, words)?),
            Kind::Place => Said::Place(self.place(node)?),
            Kind::Line(least) => Said::Spots(self.line(node, least)?),
            Kind::Lines => {
                let lines = list(node, "a list of lines, each a list of places", 0)?;
                Said::Lines(lines.into_iter().map(|line| self.line(line, 2)).collect::<Fit<_>>()?)
            }
            Kind::Rings => Said::Rings(self.rings(node)?),
            Kind::Through => Said::Through(self.through(node)?),
            Kind::Toward => Said::Toward(toward(node)?),
            Kind::Falls => Said::Falls(self.falls(node)?),
            Kind::Table(_) | Kind::Tables(_) | Kind::Either(_) => Said::Bad,
        })
    }

    fn string<'n>(&self, node: &'n Node<'_>, expected: &str, help: &str) -> Fit<&'n str> {
        node.get_ref().as_str().map_or_else(|| wrong(node, expected, help), Ok)
    }

    fn name(&self, node: &Node<'_>, what: &str) -> Fit<String> {
        let text = self.string(node, what, "put it in quotes")?;
        if text.trim().is_empty() || text.contains(char::is_control) {
            return wrong(node, format!("{what}, on one line"), "write a name");
        }
        Ok(text.trim().to_owned())
    }

    /// Names with the place of each.
    fn names(&self, node: &Node<'_>) -> Fit<Vec<(String, Span)>> {
        if let DeValue::Array(all) = node.get_ref() {
            return all.iter().map(|n| Ok((self.name(n, "a name")?, n.span()))).collect();
        }
        let text = self.string(node, "names in one text, or a list of names", "write them as \"A2 A5 C5 C2\"")?;
        let raw = &self.text[node.span()];
        let mut from = 0;
        let split = text.split([' ', ',', '\t']).filter(|part| !part.is_empty());
        let names: Vec<_> = split
            .map(|part| {
                let at = raw[from..].find(part).map(|k| from + k);
                from = at.map_or(from, |k| k + part.len());
                let start = node.span().start;
                (part.to_owned(), at.map_or(node.span(), |k| start + k..start + k + part.len()))
            })
            .collect();
        if names.is_empty() {
            wrong(node, "at least one name", "write the names, or leave the key out")
        } else {
            Ok(names)
        }
    }

    fn number(&self, node: &Node<'_>, least: f64, most: f64, whole: bool) -> Fit<f64> {
        let noun = if whole { "a whole number" } else { "a number" };
        let read = digits(node.get_ref()).and_then(|d| d.parse::<f64>().ok()).filter(|v| v.is_finite());
        let read = read.filter(|_| !whole || node.get_ref().is_integer());
        let Some(value) = read else { return wrong(node, noun, "write digits only, without quotes or unit") };
        if value < least || value > most {
            // The bound that was passed; both where they are near.
            let range = if most >= 1e9 && value < least {
                format!("{noun} of at least {least}")
            } else if most >= 1e9 {
                format!("{noun} of at most {most}")
            } else {
                format!("{noun} from {least} to {most}")
            };
            return wrong(node, range, "mend the number");
        }
        Ok(value)
    }

    fn height(&self, node: &Node<'_>) -> Fit<f64> {
        let unit = self.unit.code();
        let Some(text) = digits(node.get_ref()) else {
            return wrong(
                node,
                format!("a bare number in the job's unit, {unit}"),
                "write digits without quotes or unit",
            );
        };
        number::height(text, false).or_else(|bad| wrong(node, bad.expected, bad.help))
    }

    fn coordinate(&mut self, node: &Node<'_>) -> Fit<i64> {
        let Some(text) = digits(node.get_ref()) else {
            return wrong(node, "a coordinate: a bare number", "write digits without quotes or unit");
        };
        let (value, cut) = number::micro(text, false).or_else(|bad| wrong(node, bad.expected, bad.help))?;
        self.rounded += usize::from(cut);
        Ok(value)
    }

    fn place(&mut self, node: &Node<'_>) -> Fit<Place> {
        match node.get_ref().as_array().map(|a| a.iter().collect::<Vec<_>>()).as_deref() {
            Some([n, e]) => Ok((self.coordinate(n)?, self.coordinate(e)?)),
            _ => wrong(node, "a place, `[northing, easting]`", "write two bare numbers in brackets, northing first"),
        }
    }

    fn length(&self, node: &Node<'_>, signed: bool) -> Fit<Length> {
        let example = if self.unit == LengthUnit::Metre { "\"60 mm\"" } else { "\"2 3/8 in\"" };
        let Some(text) = node.get_ref().as_str() else {
            let help = format!("say the unit and put it in quotes, as {example}");
            return wrong(node, "a length with its unit", help);
        };
        let length = parse_length(text, self.unit)
            .or_else(|bad| misfit(node.span(), format!("`{text}`"), bad.expected, format!("write it as {example}")))?;
        if !signed && length < Length::ZERO {
            return wrong(node, "a length of zero or more", "take away the minus");
        }
        Ok(length)
    }

    fn slope(&self, node: &Node<'_>) -> Fit<Slope> {
        let text = self.string(
            node,
            "a slope with its unit, such as \"2 %\", \"1:48\" or \"1/4 in/ft\"",
            "put it in quotes, as \"2 %\"",
        )?;
        slope(text, node.span())
    }

    fn scale(&self, node: &Node<'_>) -> Fit<String> {
        let text = self.string(node, "fit, or a scale in quotes", "say it as \"1 in = 8 ft\" or \"1:100\"")?;
        match parse_scale(text) {
            Ok(_) => Ok(text.to_owned()),
            Err(_) if text.trim() == "fit" => Ok(text.to_owned()),
            Err(bad) => misfit(
                node.span(),
                format!("`{text}`"),
                format!("fit, or {}", bad.expected),
                "say how long an inch of paper is on the ground",
            ),
        }
    }

    fn line(&mut self, node: &Node<'_>, least: usize) -> Fit<Vec<(Spot, Span)>> {
        let mut spots = Vec::new();
        for spot in list(node, "a list of places", least)? {
            let said = match spot.get_ref() {
                DeValue::String(name) => Spot::Name(name.trim().to_owned()),
                _ => Spot::Place(self.place(spot)?),
            };
            spots.push((said, spot.span()));
        }
        Ok(spots)
    }

    fn rings(&mut self, node: &Node<'_>) -> Fit<Vec<Vec<(Place, Span)>>> {
        let all = list(node, "a ring of places, `[[n, e], [n, e], [n, e]]`, or a list of rings", 1)?;
        let deep = all.iter().all(|n| n.get_ref().as_array().is_some_and(|a| a.iter().all(|p| p.get_ref().is_array())));
        let rings: Vec<Vec<&Node<'_>>> =
            if deep { all.iter().map(|r| list(r, "a ring of places", 0)).collect::<Fit<_>>()? } else { vec![all] };
        rings.into_iter().map(|ring| ring.into_iter().map(|p| Ok((self.place(p)?, p.span()))).collect()).collect()
    }

    fn through(&mut self, node: &Node<'_>) -> Fit<Through> {
        let wanted = "`[\"name\", height]`, `[\"name\", \"-0.04 ft\"]` or `[northing, easting, height]`";
        let parts = list(node, wanted, 0)?;
        match parts.as_slice() {
            [name, up] if name.get_ref().is_str() => {
                let of = self.name(name, "the name of a place")?;
                if up.get_ref().is_str() {
                    Ok(Through::Off(of, self.length(up, true)?))
                } else {
                    Ok(Through::At(of, self.height(up)?))
                }
            }
            [n, e, up] => Ok(Through::Here((self.coordinate(n)?, self.coordinate(e)?), self.height(up)?)),
            _ => wrong(node, wanted, "write it in one of these three ways"),
        }
    }

    fn falls(&mut self, node: &Node<'_>) -> Fit<Vec<(Slope, Toward, Span)>> {
        let wanted = "one or two falls such as \"2 % north\"";
        let all = list(node, wanted, 1)?;
        if all.len() > 2 {
            return wrong(node, wanted, "a plane has two falls at most: add them up");
        }
        all.into_iter()
            .map(|fall| {
                let text = self.string(fall, wanted, "put it in quotes")?.trim();
                // The slope ends with its sign: %, in/ft, or the number behind the colon.
                let end = text.find('%').map(|k| k + 1).or_else(|| text.find("in/ft").map(|k| k + 5));
                let end =
                    end.or_else(|| text.find(':').and_then(|k| text[k..].find(char::is_alphabetic).map(|a| k + a)));
                match end.map(|k| text.split_at(k)) {
                    Some((steep, way)) if !way.trim().is_empty() => {
                        Ok((slope(steep.trim(), fall.span())?, direction(way.trim(), fall.span())?, fall.span()))
                    }
                    _ => wrong(fall, "a slope and a direction, such as \"2 % north\"", "write both"),
                }
            })
            .collect()
    }
}

/// The items of a list, at least so many.
fn list<'n, 'i>(node: &'n Node<'i>, expected: &str, least: usize) -> Fit<Vec<&'n Node<'i>>> {
    match node.get_ref() {
        DeValue::Array(all) if all.len() >= least => Ok(all.iter().collect()),
        DeValue::Array(all) => misfit(
            node.span(),
            format!("a list of {}", all.len()),
            format!("{expected}, {least} at least"),
            "add what is missing",
        ),
        _ => wrong(node, expected, "write a list in brackets"),
    }
}

fn slope(text: &str, span: Span) -> Fit<Slope> {
    let slope = parse_slope(text).or_else(|bad| {
        misfit(
            span.clone(),
            format!("`{text}`"),
            bad.expected,
            "say the unit: percent, one in so many, or inches per foot",
        )
    })?;
    if slope.ratio() > 1.0 + 1e-9 {
        return misfit(span, format!("`{text}`"), "a slope of at most 100 %", "look for a slipped decimal mark");
    }
    Ok(slope)
}

fn percent(node: &Node<'_>, most: f64) -> Fit<f64> {
    let wanted = format!("a percentage from \"0 %\" to \"{most} %\"");
    let value = node
        .get_ref()
        .as_str()
        .and_then(|t| t.trim().strip_suffix('%'))
        .and_then(|t| crate::units::parse_number(t).ok());
    match value {
        Some(v) if (0.0..=most).contains(&v) => Ok(v / 100.0),
        Some(_) => wrong(node, wanted, "mend the number"),
        None => wrong(node, wanted, "write it in quotes with its sign, as \"5 %\""),
    }
}

fn measure(node: &Node<'_>, units: &[&str]) -> Fit<String> {
    let wanted = format!("a number with one of the units {}", units.join(", "));
    let Some(text) = node.get_ref().as_str() else {
        return wrong(node, wanted, format!("say the unit and put it in quotes, as \"1 {}\"", units[0]));
    };
    let text = text.trim();
    let split = text.find(char::is_alphabetic).unwrap_or(text.len());
    let (amount, unit) = (text[..split].trim(), text[split..].trim());
    if unit == "t" || unit.starts_with("t/") {
        return wrong(node, wanted, "`t` is read two ways: write `ton` for 2,000 lb or `tonne` for 1,000 kg");
    }
    let amount = crate::units::parse_number(amount).ok();
    match amount {
        _ if !units.contains(&unit) => wrong(node, wanted, "use one of these units"),
        Some(v) if v >= 0.0 => Ok(text.to_owned()),
        _ => wrong(node, wanted, format!("write a decimal number, zero or more, before `{unit}`")),
    }
}

fn word(node: &Node<'_>, words: &'static [&'static str]) -> Fit<&'static str> {
    let list = words.iter().map(|w| format!("\"{w}\"")).collect::<Vec<_>>().join(", ");
    let wanted = if words.len() == 1 { list } else { format!("one of {list}") };
    let Some(text) = node.get_ref().as_str() else { return wrong(node, wanted, "put the word in quotes") };
    match words.iter().find(|w| w.eq_ignore_ascii_case(text.trim())) {
        Some(word) => Ok(word),
        None => {
            let help = nearest(text, words.iter().copied())
                .map_or("use one of these words".to_owned(), |w| format!("the nearest word is \"{w}\""));
            wrong(node, wanted, help)
        }
    }
}

fn toward(node: &Node<'_>) -> Fit<Toward> {
    let wanted = "a compass word, degrees from north (0 to 360), a name, or `drain A`";
    match node.get_ref() {
        DeValue::String(text) => direction(text.trim(), node.span()),
        value => match digits(value).and_then(|d| d.parse::<f64>().ok()) {
            Some(degrees) if (0.0..=360.0).contains(&degrees) => Ok(Toward::Azimuth(degrees)),
            _ => wrong(node, wanted, "mend the direction"),
        },
    }
}

/// A compass word before a name; degrees as text as well.
fn direction(text: &str, span: Span) -> Fit<Toward> {
    let bare: String = text.to_lowercase().chars().filter(|c| !matches!(c, '-' | ' ')).collect();
    let point = POINTS.iter().position(|(short, long)| bare == *short || bare == long.replace('-', ""));
    if let Some(k) = point {
        return Ok(Toward::Azimuth(k as f64 * 22.5));
    }
    if let Ok(degrees) = crate::units::parse_number(text) {
        let good = (0.0..=360.0).contains(&degrees);
        let wrong = || misfit(span, format!("`{text}`"), "degrees from north, 0 to 360", "mend the direction");
        return if good { Ok(Toward::Azimuth(degrees)) } else { wrong() };
    }
    if text.is_empty() {
        return misfit(
            span,
            "no direction",
            "a compass word, degrees, a name, or `drain A`",
            "say which way is downhill",
        );
    }
    Ok(match text.strip_prefix("drain ") {
        Some(name) => Toward::Drain(name.trim().to_owned()),
        None => Toward::Name(text.to_owned()),
    })
}
