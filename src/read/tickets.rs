//! What do the load tickets say?
//!
//! Columns date, truck, and loads or loose (or both): so many loads of a truck of the job, each its full box, or what they held together,
//! in yd3 or m3 as the job counts or with a unit of its own.

use super::complaint::Complaints;
use super::nearest::nearest;
use super::number;
use super::shots::read_number;
use super::source::Source;
use super::table::{Field, Form, Row, Table};
use crate::digcheck::Ticket;
use crate::haul::Truck;
use crate::units::{LengthUnit, Measured, parse_measure, parse_number};

const TICKETS: Form = Form {
    required: &[Field::Date, Field::Truck],
    optional: &[Field::Loads, Field::Loose, Field::Description],
    order: &[],
};

/// Reads load tickets, given the trucks of the job. `None` where anything was complained of.
pub fn read_tickets(
    source: &Source,
    trucks: &[Truck],
    unit: LengthUnit,
    complaints: &mut Complaints,
) -> Option<Vec<Ticket>> {
    let before = complaints.len();
    let table = Table::open(source, &TICKETS, complaints)?;
    let mut out = Vec::new();
    table.each_row(complaints, |row, complaints| out.extend(ticket(&row, trucks, unit, complaints)));
    (complaints.len() == before).then_some(out)
}

fn ticket(row: &Row<'_, '_>, trucks: &[Truck], unit: LengthUnit, complaints: &mut Complaints) -> Option<Ticket> {
    let (name, held) = (row.cell(Field::Truck), row.cell(Field::Loose));
    let positive = |field, value: Option<f64>, complaints: &mut Complaints| {
        if value.is_some_and(|v| v <= 0.0) {
            complaints.push(row.complaint(field, "a number above 0", "mend the number, or take the ticket out"));
        }
        value.filter(|v| *v > 0.0)
    };
    let loads = if row.cell(Field::Loads).is_empty() {
        None
    } else {
        let loads = read_number(row, Field::Loads, complaints, number::height);
        Some(positive(Field::Loads, loads, complaints)?)
    };
    let loose = if held.is_empty() {
        None
    } else {
        let said = parse_number(held).map(|v| v * unit.cubic_per_volume());
        let Ok(said) = said.or_else(|_| parse_measure(held, Measured::Volume, unit)) else {
            let expected = format!("a volume, in {} or with its unit", unit.volume());
            complaints.push(row.complaint(Field::Loose, &expected, "write it as 9.5, or as 9.5 yd3"));
            return None;
        };
        Some(positive(Field::Loose, Some(said), complaints)?)
    };
    let truck = trucks.iter().find(|t| t.name == name);
    let loose = match (loose, loads, truck) {
        (Some(loose), ..) => loose,
        (None, Some(loads), Some(truck)) => loads * truck.volume.cubic(),
        (None, Some(_), None) => {
            let help = match nearest(name, trucks.iter().map(|t| t.name.as_str())) {
                Some(near) => format!("the nearest is `{near}`; or say in a column `loose` what it held"),
                None => "add a [[truck]] to the job, or say in a column `loose` what it held".to_owned(),
            };
            complaints.push(row.complaint(Field::Truck, "a truck of the job, whose box is known", &help));
            return None;
        }
        (None, None, _) => {
            let field = if row.table.has(Field::Loads) { Field::Loads } else { Field::Loose };
            let help = "say how many loads it was, or what they held";
            complaints.push(row.complaint(field, "a number of loads or a volume", help));
            return None;
        }
    };
    let date = row.cell(Field::Date).to_owned();
    Some(Ticket { date, truck: name.to_owned(), loads: loads.unwrap_or(1.0), loose })
}
