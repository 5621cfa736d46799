//! How is what came out put into a file? Over text or any `io::Write`; paths are known elsewhere.

mod account;
mod columns;
pub mod csv;
pub mod digcheck;
mod drains;
pub mod field;
pub mod geojson;
mod haul;
pub mod json;
mod levels;
pub mod pdf;
pub mod png;
pub mod report;
mod soil;
pub mod svg;
mod tank;
mod water;
pub mod workbook;

#[cfg(test)]
mod tests;
