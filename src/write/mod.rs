//! How is what came out put into a file? Over text or any `io::Write`; paths are known elsewhere.

pub mod png;
pub mod svg;

#[cfg(test)]
mod tests;
