//! The envelope another program reads: keys without units, `units` said once, plain unrounded numbers.

use crate::job::Outcome;

/// The outcome as JSON, two spaces to a level, a line feed at the end.
///
/// # Errors
/// What the encoder says; an outcome of finite numbers encodes.
pub fn text(outcome: &Outcome) -> Result<String, serde_json::Error> {
    let mut text = serde_json::to_string_pretty(outcome)?;
    text.push('\n');
    Ok(text)
}
