use super::{png, svg};
use crate::sheet::plan::{PlanOptions, plan};
use crate::sheet::sample::Yard;
use crate::sheet::{Paper, PaperSize};
use crate::units::LengthUnit;

/// The pictures of all samples, also left in the temporary folder to be looked at.
#[test]
fn pictures_are_not_blank_and_can_be_looked_at() {
    let metric = Yard { step: 3.0, unit: LengthUnit::Metre, interval: 0.025, ..Yard::grid(6, 5) };
    let papers = [
        ("small", Yard::small(), Paper::landscape(PaperSize::Tabloid)),
        ("small-letter", Yard::small(), Paper::landscape(PaperSize::Letter)),
        ("yard", Yard::grid(9, 7), Paper::landscape(PaperSize::Tabloid)),
        ("yard-portrait", Yard::grid(9, 7), Paper::portrait(PaperSize::Letter)),
        ("metric", metric, Paper::landscape(PaperSize::A4)),
        ("large", Yard::grid(20, 20), Paper::landscape(PaperSize::Tabloid)),
    ];
    for (name, yard, paper) in papers {
        let drawing = plan(&yard.outcome(), &PlanOptions { paper });
        let text = svg::text(&drawing).expect("finite measures");
        let picture = png::bytes(&text, 100.0).expect("a picture");
        let folder = std::env::temp_dir();
        std::fs::write(folder.join(format!("sheet-{name}.svg")), &text).expect("a temporary file");
        std::fs::write(folder.join(format!("sheet-{name}.png")), &picture).expect("a temporary file");
        assert!(picture.len() > 20_000, "{name}: {} bytes", picture.len());
    }
}
