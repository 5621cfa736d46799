//! How are cells set in columns of plain text?

/// Columns as wide as their widest cell; cells that begin like numbers stand to the right.
pub(super) fn columns(head: &[String], rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let mut all: Vec<Vec<String>> = Vec::new();
    if !head.is_empty() {
        all.push(head.to_vec());
    }
    all.extend(rows);
    let count = all.iter().map(Vec::len).max().unwrap_or(0);
    let cell = |row: &[String], k: usize| row.get(k).map_or("", String::as_str).to_owned();
    let body = usize::from(!head.is_empty());
    let wide: Vec<usize> =
        (0..count).map(|k| all.iter().map(|r| cell(r, k).chars().count()).max().unwrap_or(0)).collect();
    let numeric: Vec<bool> = (0..count)
        .map(|k| {
            all[body.min(all.len())..].iter().all(|r| {
                let c = cell(r, k);
                c == "-" || c.parse::<f64>().is_ok()
            })
        })
        .collect();
    let line = |row: &Vec<String>| {
        let cells = (0..count).map(|k| {
            let (text, width) = (cell(row, k), wide[k]);
            let pad = " ".repeat(width - text.chars().count());
            if numeric[k] { format!("{pad}{text}") } else { format!("{text}{pad}") }
        });
        format!("  {}", cells.collect::<Vec<_>>().join("  ")).trim_end().to_owned()
    };
    all.iter().map(line).collect::<Vec<_>>().join("\n")
}
