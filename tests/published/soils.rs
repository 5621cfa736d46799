//! Soil told by hand, and what becomes of it when it is dug.

use crate::common::assert_close;
use spadework::soil::{Class, Feel, Group, Patty, Ribbon, Shake, Test, Tests, Thread, identify, usual};
use spadework::units::{BankVolume, CompactedVolume, Length, LengthUnit, LooseVolume};

/// Casagrande's field tests as printed in a soil mechanics textbook, seen: group, dry strength, dilatancy, toughness.
const CASAGRANDE: [[&str; 4]; 6] = [
    ["ML", "none to slight", "quick to slow", "none"],
    ["CL", "medium to high", "none to very slow", "medium"],
    ["OL", "slight to medium", "slow", "slight"],
    ["MH", "slight to medium", "slow to none", "slight to medium"],
    ["CH", "high to very high", "none", "high"],
    ["OH", "medium to high", "none to very slow", "slight to medium"],
];
/// ASTM D2488, from memory: the same tests; "low or no thread" there is "none to low" here.
const D2488: [[&str; 4]; 4] = [
    ["ML", "none to low", "slow to rapid", "none to low"],
    ["CL", "medium to high", "none to slow", "medium"],
    ["MH", "low to medium", "none to slow", "low to medium"],
    ["CH", "high to very high", "none", "high"],
];

/// Answers between two printed words, in whichever order they stand.
fn between<T: Copy + Ord>(printed: &str, all: &[T], of: fn(&str) -> Option<T>) -> Vec<T> {
    let (a, b) = printed.split_once(" to ").unwrap_or((printed, printed));
    let word = |w: &str| of(w).unwrap_or_else(|| panic!("`{w}` is no answer"));
    let (a, b) = (word(a), word(b));
    all.iter().copied().filter(|x| a.min(b) <= *x && *x <= a.max(b)).collect()
}

fn patties(printed: &str) -> Vec<Patty> {
    between(printed, Patty::ALL, Patty::from_word)
}
fn shakes(printed: &str) -> Vec<Shake> {
    between(printed, Shake::ALL, Shake::from_word)
}
fn threads(printed: &str) -> Vec<Thread> {
    between(printed, Thread::ALL, Thread::from_word)
}
fn group(word: &str) -> Group {
    Group::from_word(word).unwrap_or_else(|| panic!("{word}"))
}

fn strength(patty: Patty, shake: Shake, thread: Thread) -> Tests {
    Tests { patty: Some(patty), shake: Some(shake), thread: Some(thread), ..Tests::default() }
}

#[test]
fn every_printed_row_classifies_as_printed() {
    let mut tried = 0;
    for [name, patty, shake, thread] in CASAGRANDE.iter().chain(&D2488) {
        for (p, s, t) in triples(&patties(patty), &shakes(shake), &threads(thread)) {
            let found = identify(&strength(p, s, t));
            assert!(found.groups.contains(&group(name)), "{name}: {p:?} {s:?} {t:?} gives {}", found.spoken());
            assert_eq!((found.agree.len(), found.disagree.len()), (3, 0), "{name}: {p:?} {s:?} {t:?}");
            tried += 1;
        }
    }
    assert_eq!(tried, 32 + 28);
    // Pt: fibrous, dark, spongy; no strength tests.
    for (p, s, t) in triples(Patty::ALL, Shake::ALL, Thread::ALL) {
        let found = identify(&Tests { feel: Some(Feel::Fibrous), ..strength(p, s, t) });
        assert_eq!((found.groups, found.class, found.disagree), (vec![Group::Pt], Class::Organic, vec![]));
    }
}

fn triples(p: &[Patty], s: &[Shake], t: &[Thread]) -> Vec<(Patty, Shake, Thread)> {
    p.iter().flat_map(|&p| s.iter().flat_map(move |&s| t.iter().map(move |&t| (p, s, t)))).collect()
}

/// A single test never fixes the group; all three together may.
#[test]
fn one_group_where_the_rows_part_and_all_of_them_where_they_overlap() {
    let of = |p: &str, s: &str, t: &str, feel: &str| {
        identify(&Tests { feel: Feel::from_word(feel), ..strength(patties(p)[0], shakes(s)[0], threads(t)[0]) })
            .spoken()
    };
    assert_eq!(of("none", "quick", "none", ""), "ML");
    assert_eq!(of("slight", "none", "slight", ""), "MH");
    assert_eq!(of("slight", "slow", "slight", ""), "ML, OL or MH");
    assert_eq!(of("slight", "slow", "slight", "silt"), "ML or MH");
    assert_eq!(of("medium", "none", "medium", ""), "CL, MH or OH");
    assert_eq!(of("medium", "none", "medium", "sticky"), "CL");
    assert_eq!(of("medium", "none", "medium", "organic"), "OH");
    assert_eq!(of("very high", "none", "high", ""), "CH");
    assert_eq!(of("none", "very quick", "none", "sand"), "SW, SP or SM");
    assert_eq!(of("high", "none", "high", "sand"), "SC");
    assert_eq!(of("medium", "slow", "medium", "gravel"), "GM or GC");
    let all: Vec<Group> =
        [Patty::Low, Patty::Medium].map(|p| identify(&Tests { patty: Some(p), ..Tests::default() }).groups).concat();
    assert_eq!(all.len(), 3 + 4, "{all:?}");
}

/// Of the three strength tests every combination, made or not, against a count on the printed rows.
#[test]
fn the_groups_are_those_with_the_most_printed_answers() {
    let made = |n: usize| (0..=n).map(|k| k.checked_sub(1));
    let (mut undecided, mut tried) = (0, 0);
    for (p, s, t) in made(5).flat_map(|p| made(5).flat_map(move |s| made(4).map(move |t| (p, s, t)))) {
        let (patty, shake, thread) = (p.map(|k| Patty::ALL[k]), s.map(|k| Shake::ALL[k]), t.map(|k| Thread::ALL[k]));
        let has = |name: &str, column: usize, is_in: &dyn Fn(&str) -> bool| {
            CASAGRANDE.iter().chain(&D2488).any(|row| row[0] == name && is_in(row[column]))
        };
        let count = |name: &str| {
            usize::from(patty.is_some_and(|a| has(name, 1, &|w| patties(w).contains(&a))))
                + usize::from(shake.is_some_and(|a| has(name, 2, &|w| shakes(w).contains(&a))))
                + usize::from(thread.is_some_and(|a| has(name, 3, &|w| threads(w).contains(&a))))
        };
        let names: Vec<&str> = CASAGRANDE.iter().map(|row| row[0]).collect();
        let most = names.iter().map(|n| count(n)).max().unwrap_or(0);
        let mut want: Vec<Group> = names.into_iter().filter(|n| count(n) == most).map(group).collect();
        want.sort_unstable();
        let found = identify(&Tests { patty, shake, thread, ..Tests::default() });
        assert_eq!(found.groups, want, "{patty:?} {shake:?} {thread:?}");
        undecided += usize::from(!found.disagree.is_empty());
        tried += 1;
    }
    assert_eq!(tried, 6 * 6 * 5);
    assert!(undecided > 20 && undecided < tried, "{undecided}");
}

/// Every combination of answers to the five tests, made or not, gives a class; tests that disagree are named.
#[test]
fn every_combination_gives_a_class_and_names_the_tests_that_disagree() {
    // One answer, or none, off a number in which each has a digit.
    fn digit<T: Copy>(number: &mut usize, all: &[T]) -> Option<T> {
        let k = *number % (all.len() + 1);
        *number /= all.len() + 1;
        all.get(k).copied()
    }
    let (count, mut agreed) = (5 * 6 * 6 * 6 * 9, 0);
    for mut n in 0..count {
        let tests = Tests {
            thread: digit(&mut n, Thread::ALL),
            ribbon: digit(&mut n, Ribbon::ALL),
            shake: digit(&mut n, Shake::ALL),
            patty: digit(&mut n, Patty::ALL),
            feel: digit(&mut n, Feel::ALL),
        };
        assert_eq!(n, 0, "every combination once");
        let Tests { thread, ribbon, shake, patty, feel } = tests;
        let made = [thread.is_some(), ribbon.is_some(), shake.is_some(), patty.is_some(), feel.is_some()];
        let found = identify(&tests);
        assert!(!found.groups.is_empty(), "{tests:?}");
        let mut named = [found.agree.clone(), found.disagree.clone()].concat();
        named.sort_unstable();
        let made: Vec<Test> = Test::ALL.into_iter().filter(|t| made[*t as usize]).collect();
        assert_eq!(named, made, "each test that was made agrees or not: {tests:?}");
        // One test at odds with the others: without it the same soil is found, or more.
        if let [odd] = found.disagree.as_slice() {
            let without = match odd {
                Test::Thread => Tests { thread: None, ..tests },
                Test::Ribbon => Tests { ribbon: None, ..tests },
                Test::Shake => Tests { shake: None, ..tests },
                Test::Patty => Tests { patty: None, ..tests },
                // It picks the rows.
                Test::Feel => tests,
            };
            let rest = identify(&without);
            assert!(found.groups.iter().all(|g| rest.groups.contains(g)), "{tests:?}");
        }
        agreed += usize::from(found.disagree.is_empty());
    }
    assert!(agreed > 1000 && agreed < count, "{agreed} of {count} combinations agree");
}

/// US Air Force AFH 10-222 volume 14 (2008), table A3.7, seen: a ribbon that holds 8 to 10 in is CH, 3 to 8 in CL.
#[test]
fn ribbons_as_printed() {
    let of = |inches: f64| {
        let ribbon = Ribbon::of(Length::inches(inches, LengthUnit::Foot), LengthUnit::Foot);
        identify(&Tests { ribbon: Some(ribbon), ..Tests::default() }).groups
    };
    for inches in [8.0, 9.0, 10.0] {
        assert_eq!(of(inches), [Group::CH]);
    }
    for inches in [3.0, 5.0, 7.9] {
        assert!(of(inches).contains(&Group::CL), "{inches}");
    }
    // Loam under 1 in, clay loam to 2 in, clay above (Thien 1979, from memory); 25 mm and 50 mm stand for the inches.
    for (length, class) in
        [("none", Ribbon::None), ("24 mm", Ribbon::Middling), ("22 mm", Ribbon::Short), ("50 mm", Ribbon::Long)]
    {
        let got = spadework::units::parse_length(length, LengthUnit::Metre)
            .map_or(Ribbon::None, |l| Ribbon::of(l, LengthUnit::Metre));
        assert_eq!(got, class, "{length}");
    }
}

/// US Army correspondence course EN5341 (soils), seen: drainage where it is legible, and frost action.
#[test]
fn behaviour_as_printed() {
    for (name, drainage, frost) in [
        ("SW", "excellent", "none to very slight"),
        ("SP", "excellent", "none to very slight"),
        ("SM", "", "slight to high"),
        ("SC", "", "slight to high"),
        ("ML", "", "moderate to very high"),
        ("CL", "", "moderate to high"),
        ("OL", "poor", "moderate to high"),
        ("MH", "fair to poor", "moderate to very high"),
        ("CH", "", "moderate"),
        ("OH", "", "moderate"),
    ] {
        let group = group(name);
        assert_eq!(group.frost().map(|f| f.to_string()).as_deref(), Some(frost), "{name}");
        let drains = group.drainage().map(|d| d.to_string()).unwrap_or_default();
        assert!(drainage.is_empty() || drains == drainage, "{name}: {drains}");
    }
}

/// WES TM 3-357, appendix B, table B-1, from memory: as subgrade where no frost comes, the better word first.
#[test]
fn subgrade_as_printed() {
    for (name, subgrade) in [
        ("GW", "excellent"),
        ("GP", "excellent to good"),
        ("GM", "good"),
        ("GC", "good"),
        ("SW", "good"),
        ("SP", "good to fair"),
        ("SM", "good to fair"),
        ("SC", "fair to poor"),
        ("ML", "fair to poor"),
        ("CL", "fair to poor"),
        ("OL", "poor"),
        ("MH", "poor"),
        ("CH", "fair to poor"),
        ("OH", "poor to very poor"),
        ("Pt", "not suitable"),
    ] {
        assert_eq!(group(name).suitability().to_string(), subgrade, "{name}");
    }
}

/// TM 5-822-5 and UFC 3-250-01, from memory: silt is always F4, clay F3 or, below a plasticity index of 12, F4.
#[test]
fn frost_groups_as_printed() {
    for (name, frost) in
        [("GM", "F1 to F3"), ("SM", "F2 to F4"), ("ML", "F4"), ("MH", "F4"), ("CL", "F3 to F4"), ("CH", "F3")]
    {
        assert_eq!(group(name).frost_group().map(|f| f.to_string()).as_deref(), Some(frost), "{name}");
    }
}

/// US Army FM 5-434 (2000), table 1-1, the sand row seen, others from memory: of 1 bank, loose or compacted, so much bank, loose, compacted.
const CONVERSION: [(Class, [[f64; 3]; 3]); 4] = [
    (Class::Sand, [[1.00, 1.11, 0.95], [0.90, 1.00, 0.86], [1.05, 1.17, 1.00]]),
    (Class::Mixed, [[1.00, 1.25, 0.90], [0.80, 1.00, 0.72], [1.11, 1.39, 1.00]]),
    (Class::Clay, [[1.00, 1.43, 0.90], [0.70, 1.00, 0.63], [1.11, 1.59, 1.00]]),
    (Class::Rock, [[1.00, 1.50, 1.30], [0.67, 1.00, 0.87], [0.77, 1.15, 1.00]]),
];

#[test]
fn conversion_factors_as_printed_and_by_the_door() {
    for (class, [bank, loose, compacted]) in CONVERSION {
        for (row, from) in [(loose, bank[1]), (compacted, bank[2])] {
            for k in 0..3 {
                assert_close(row[k], bank[k] / from, 0.01);
            }
        }
        let soil = usual(class).factors(LengthUnit::Foot);
        let from = [
            BankVolume::cubic_job_units(1.0),
            soil.bank_of_loose(LooseVolume::cubic_job_units(1.0)),
            soil.bank_of_compacted(CompactedVolume::cubic_job_units(1.0)),
        ];
        for (row, dug) in [bank, loose, compacted].iter().zip(from) {
            let got = [dug.cubic(), soil.loose(dug).cubic(), soil.compacted(dug).cubic()];
            for (got, printed) in got.into_iter().zip(row) {
                assert_close(got, *printed, 0.005);
            }
        }
    }
    let patio = BankVolume::cubic_job_units(12.0 * 16.0 * 10.0 / 12.0);
    assert_close(usual(Class::Mixed).factors(LengthUnit::Foot).loose(patio).cubic() / 27.0, 7.407, 0.0005);
    // Compacted rock is more than it was in the bank.
    let rock = usual(Class::Rock).factors(LengthUnit::Foot);
    let dug = BankVolume::cubic_job_units(100.0);
    assert_close(rock.compacted(dug).cubic(), 130.0, 1e-9);
    assert_close(rock.bank_of_compacted(rock.compacted(dug)).cubic(), 100.0, 1e-9);
}

/// Weights are of bank: a ton/yd3 stays itself in feet; in metres 1 ton/yd3 is 1.18655 tonne/m3.
#[test]
fn usual_weights_in_the_units_of_the_job() {
    let weigh = |unit: LengthUnit| usual(Class::Clay).factors(unit).bank_weight * unit.cubic_per_volume();
    assert_close(weigh(LengthUnit::Foot), 1.45, 1e-12);
    assert_close(weigh(LengthUnit::Metre), 1.45 * 1.186_552_842_5, 1e-9);
    for class in Class::ALL {
        let u = usual(*class);
        for range in [u.swell, u.shrink, u.weight] {
            assert!(range.least <= range.usual && range.usual <= range.most, "{class:?}: {range:?}");
        }
    }
}
