//! What is to be done about a hole, whose it is, and what was moved: stone, hand work, loads, the log, load tickets.

use super::Outcome;
use super::digcheck::Judged;
use super::digcheck_out::{FillOut, HauledOut, LogOut};
use super::haul::factors_of;
use super::road::LoadsOut;
use crate::digcheck::{Between, Ticket, trimming};
use crate::finding::{Caution, Subject};
use crate::haul::{Cargo, learned};
use crate::units::{BankVolume, CompactedVolume, LooseVolume, fixed};

impl Judged<'_> {
    /// Stone, hand work and trips for what is out.
    pub(super) fn totals(&mut self) {
        let (site, unit) = (self.site, self.unit());
        let total = self.found.iter().fold(Between::default(), |sum, b| sum.with(b));
        self.check.high_volume = self.spoken(total.high);
        self.check.low_volume = self.spoken(total.low);
        self.check.high_beyond = self.spoken(total.high_out);
        self.check.low_beyond = self.spoken(total.low_out);
        self.check.trim_area = total.high_out_area;
        self.check.trim_hours = trimming(total.high_out_area, total.high_out, unit);
        let mut stone = Cargo { loose: LooseVolume::ZERO, mass: 0.0 };
        for (area, found) in site.dig.areas.iter().zip(&self.found).filter(|(_, f)| f.low_out > 0.0) {
            let layers = &area.section.layers;
            let at = area.section.refill.or(layers.len().checked_sub(1));
            let Some(layer) = at.and_then(|k| layers.get(k)) else { continue };
            let mass = layer.weight.map(|w| found.low_out * w * (1.0 + layer.waste));
            if let Some(mass) = mass {
                // Stone on a truck fills about what it fills in the ground, as everywhere in the haul.
                stone.loose += LooseVolume::cubic_job_units(found.low_out * (1.0 + layer.waste));
                stone.mass += mass;
            }
            self.check.fills.push(FillOut {
                area: area.said.name.clone(),
                layer: layer.name.clone(),
                volume: CompactedVolume::cubic_job_units(found.low_out).spoken(unit),
                mass,
            });
        }
        self.check.stone = stone.mass;
        let trucks = &site.job.haul.trucks;
        let loads = |cargo: Cargo| {
            trucks.iter().map(move |t| LoadsOut { truck: t.name.clone(), trips: t.trips(cargo).worse() }).collect()
        };
        if stone.mass > 0.0 {
            self.check.deliveries = loads(stone);
        }
        let trimmed: Option<Vec<Cargo>> = factors_of(site).map(|all| {
            let of = |(f, found): (&crate::soil::Factors, &Between)| {
                let bank = BankVolume::cubic_job_units(found.high_out);
                Cargo { loose: f.loose(bank), mass: f.mass(bank) }
            };
            all.iter().zip(&self.found).map(of).collect()
        });
        if let Some(parts) = trimmed.filter(|_| total.high_out > 0.0) {
            let loose = parts.iter().fold(LooseVolume::ZERO, |sum, c| sum + c.loose);
            self.check.trim_loads = loads(Cargo { loose, mass: parts.iter().map(|c| c.mass).sum() });
        }
    }

    /// Undercut the sheet or the day ordered is the owner's; what is low beyond tolerance is the digger's.
    pub(super) fn log(&mut self) {
        let mut lines = Vec::new();
        for ((area, found), owners) in self.site.dig.areas.iter().zip(&self.found).zip(&self.owners) {
            let mut line = |whose, cubic: f64, why: String| {
                if cubic > 1e-6 {
                    let volume = self.spoken(cubic);
                    lines.push(LogOut { whose, place: area.said.name.clone(), volume, why });
                }
            };
            line("owner", owners[0], "topsoil below subgrade, ordered by the sheet: stone back to subgrade".to_owned());
            let on_day = self.stakes.iter().filter(|s| s.shot.ordered.is_some());
            let on_day =
                on_day.filter(|s| s.target.area.is_some_and(|k| self.site.dig.areas[k].said.name == area.said.name));
            let names: Vec<&str> = on_day.map(|s| s.shot.stake.as_str()).collect();
            line("owner", owners[1], format!("undercut ordered on the day at {}", names.join(", ")));
            line("sub", found.low_out, "dug below dig-to by more than the tolerance".to_owned());
        }
        self.check.log = lines;
    }

    pub(super) fn tickets(&mut self, tickets: &[Ticket], base: &Outcome) {
        let (unit, Some(haul)) = (self.unit(), &base.haul) else { return };
        let to_dig_to: f64 = base.volume.iter().flat_map(|v| &v.areas).map(|a| a.to_dig_to).sum();
        let more = to_dig_to + self.spoken(self.low_of_dig_to);
        let (dug, left) = (haul.bank + more, haul.export + more);
        let loose = LooseVolume::cubic_job_units(tickets.iter().map(|t| t.loose).sum());
        let bank = BankVolume::cubic_job_units(left * unit.cubic_per_volume());
        let swell = learned(1.0, loose, 1.0, bank);
        let by_swell = haul.cargo.as_ref().filter(|_| haul.export > 0.0).map(|c| c.loose * left / haul.export);
        self.check.moved = Some(HauledOut {
            dug,
            left,
            loose: by_swell,
            loads: tickets.iter().map(|t| t.loads).sum(),
            tickets: loose.spoken(unit),
            swell,
        });
        if let Some(by_swell) = by_swell.filter(|v| (loose.spoken(unit) - v).abs() > 0.1 * v) {
            let text = format!(
                "tickets say {} {} loose, the hole {}: boxes not full, loads of other things, or another swell than {}",
                fixed(loose.spoken(unit), 1),
                unit.volume(),
                fixed(by_swell, 1),
                "the job's"
            );
            self.cautions.push(Caution::new(Subject::Item("tickets", "tickets".to_owned()), text));
        }
    }
}
