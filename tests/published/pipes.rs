//! Pipes that run full, trenches with a pipe in them, and peaks of storms.
//!
//! Manning: V = (1.486 / n) R^(2/3) S^(1/2), R = D / 4 for a full round pipe. Printed with 1.486; ours is the cube root of 1 / 0.3048,
//! 1.4859, which differs by 5e-5 of the value. Gallons: 448.831 a minute in a cubic foot a second, by arithmetic.

use crate::common::assert_close;
use spadework::drainage::pipes::{capacity, peak, velocity};
use spadework::units::LengthUnit;

const FOOT: LengthUnit = LengthUnit::Foot;
const GALLONS: f64 = 448.831;

/// Exam preparation page, seen: D = 0.5 ft, S = 0.05, n = 0.02 carries 0.82 ft3/s.
#[test]
fn a_six_inch_pipe_of_an_exam_question() {
    assert_close(capacity(0.5, 0.05, 0.02, FOOT), 0.82, 0.005);
    assert_close(capacity(0.5, 0.05, 0.02, FOOT), 0.8155, 0.0001);
}

/// Derived: inside diameters of schedule 40 pipe (ASTM D1785 by a producer's sheet, seen) after Manning.
#[test]
fn schedule_40_pipes_run_full() {
    for (inches, fall, n, feet_a_second, gallons) in [
        (4.026, 0.01, 0.010, 2.847, 113.0),
        (4.026, 0.25 / 12.0, 0.010, 4.110, 163.1),
        (3.068, 0.01, 0.010, 2.376, 54.7),
        (6.065, 0.01, 0.010, 3.742, 336.9),
        (4.0, 0.01, 0.016, 1.772, 69.4),
    ] {
        let d = inches / 12.0;
        assert_close(velocity(d, fall, n, FOOT), feet_a_second, 0.0007);
        assert_close(capacity(d, fall, n, FOOT) * GALLONS, gallons, 0.07);
        // The same pipe in metres carries the same water.
        let in_metres = capacity(d * 0.3048, fall, n, LengthUnit::Metre) / 0.3048_f64.powi(3);
        assert_close(in_metres, capacity(d, fall, n, FOOT), 1e-12);
    }
    assert_close(capacity(0.5, -0.01, 0.01, FOOT), 0.0, 0.0);
}

/// Rational method without the factor 1.0083 that acres and inches drop: 0.9 on 600 ft2 at 4 in/h is 0.0500 ft3/s (derived);
/// 0.4 at 2.87 in/h on 128 acres, printed 146.944 (homework page, seen); 0.11 at 1.25 in/h on 30 acres, printed 4.125 (exam
/// preparation page, seen); a composite of three surfaces at 3.5 in/h, 0.1776 by the acre and inch (derived).
/// DIFFERENCE: those three hold an acre-inch an hour to be 1 ft3/s; it is 43,560 / 43,200 of that.
#[test]
fn peaks_of_storms() {
    let acre = 43_560.0;
    let factor = 43_560.0 / 43_200.0;
    assert_close(peak(4.0 / 12.0, 0.9 * 600.0), 0.05, 1e-12);
    assert_close(peak(2.87 / 12.0, 0.4 * 128.0 * acre) / factor, 146.944, 1e-9);
    assert_close(peak(1.25 / 12.0, 0.11 * 30.0 * acre) / factor, 4.125, 1e-9);
    let composite = 1200.0 * 0.9 + 800.0 * 0.85 + 3000.0 * 0.15;
    assert_close(composite / 5000.0, 0.442, 1e-12);
    assert_close(peak(3.5 / 12.0, composite) / factor, 0.1776, 0.0001);
}
