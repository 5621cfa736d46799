use super::*;

fn inches(text: &str) -> f64 {
    parse_length(text, LengthUnit::Foot).map_or(f64::NAN, Length::job_units) * 12.0
}

#[test]
fn lengths_are_read_as_a_mason_writes_them() {
    for (text, want) in [
        ("9 3/8 in", 9.375),
        ("2-3/8 in", 2.375),
        ("2.5 in", 2.5),
        ("1' 4-3/8\"", 16.375),
        ("101' - 4 3/8\"", 101.0 * 12.0 + 4.375),
        ("-2' 3\"", -27.0),
        ("4⅜ in", 4.375),
        ("1’ 4”", 16.0),
        ("5-4", 64.0),
        ("0-8 3/8", 8.375),
        ("5'4\"", 64.0),
        ("0.51 ft", 6.12),
        ("-1/2 in", -0.5),
        ("9 3/8\"", 9.375),
        ("5.25'", 63.0),
        ("25.4 mm", 1.0),
    ] {
        assert!((inches(text) - want).abs() < 1e-9, "{text}: {} is not {want}", inches(text));
    }
}

#[test]
fn what_is_not_a_length_is_refused_with_what_was_wanted() {
    for text in [
        "",
        "9",
        "9.5",
        "5.4'3\"",
        "9 3/8 inn",
        "3 9/8 in",
        "5-13",
        "in",
        "1,5 m",
        "4 in 2",
        "1/0 in",
        "--2 in",
        "2 t",
        "nan ft",
        "1e3 in",
        "5'4",
    ] {
        let e = parse_length(text, LengthUnit::Foot).expect_err(text);
        assert_eq!(e.found, text);
        assert!(e.to_string().contains("expected"), "{e}");
    }
}

#[test]
fn numbers_that_are_none_are_refused() {
    for text in ["nan", "NaN", "inf", "-infinity", "1e999", "", "12a", "0x10", "1 2", "1,5"] {
        assert!(parse_number(text).is_err(), "{text}");
    }
    assert_eq!(parse_number(" 1e3 "), Ok(1000.0));
    assert_eq!(parse_number("-0.5"), Ok(-0.5));
}

#[test]
fn slopes() {
    for (text, want) in [("2 %", 0.02), ("1:48", 1.0 / 48.0), ("1/4 in/ft", 1.0 / 48.0), ("0.5%", 0.005)] {
        let got = parse_slope(text).map_or(f64::NAN, Slope::ratio);
        assert!((got - want).abs() < 1e-15, "{text}: {got}");
    }
    for text in ["2", "2:1", "1:0", "%", "", "-1 %"] {
        assert!(parse_slope(text).is_err(), "{text}");
    }
}

#[test]
fn cuts_are_said_once_rounded_from_unrounded() {
    let say = |d: f64| CutFill::from_difference(Length::in_job_units(d)).lath(LengthUnit::Foot);
    assert_eq!(say(0.701_25), "C 0-8 3/8");
    assert_eq!(say(-0.248_75), "F 0-3");
    assert_eq!(say(-0.04), "F 0-0 1/2");
    assert_eq!(say(-0.5), "F 0-6");
    assert_eq!(say(1.0), "C 1-0");
    assert_eq!(say(0.999), "C 1-0");
    assert_eq!(say(0.0), "GRADE");
    assert_eq!(say(0.003), "GRADE");
    assert_eq!(CutFill::from_difference(Length::in_job_units(0.214)).lath(LengthUnit::Metre), "C 0.214");
}

#[test]
fn every_eighth_said_is_read_back_the_same() {
    for n in -2000..2000_i32 {
        let length = Length::inches(f64::from(n) / 8.0, LengthUnit::Foot);
        let text = feet_inches(length, LengthUnit::Foot);
        let back = parse_length(&text, LengthUnit::Foot).map(|l| eighths(l, LengthUnit::Foot));
        assert_eq!(back, Ok(i64::from(n)), "{text}");
    }
}

#[test]
fn fixed_decimals() {
    assert_eq!(fixed(-0.001, 2), "0.00");
    assert_eq!(fixed(0.125, 2), "0.13");
    assert_eq!(fixed(99.718_75, 4), "99.7188");
    assert_eq!(fixed(-1.5, 0), "-2");
}
