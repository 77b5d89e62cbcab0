//! Text in columns for the terminal.

/// One line a row: columns as wide as what they hold, two spaces between them, none at the end. All rows have as many
/// cells as the first.
pub(super) fn columns(rows: &[Vec<String>]) -> String {
    let n_columns = rows.first().map_or(0, Vec::len);
    let width = |column: usize| rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..n_columns).map(width).collect();
    rows.iter().map(|row| line(row, &widths)).collect()
}

/// A value with its unit, or a dash where it cannot be told.
pub(super) fn quantity(value: Option<f64>, n_digits: usize, unit: &str) -> String {
    value.map_or("-".to_owned(), |v| format!("{v:.n_digits$} {unit}"))
}

/// The same with its sign.
pub(super) fn signed(value: Option<f64>, n_digits: usize, unit: &str) -> String {
    value.map_or("-".to_owned(), |v| format!("{v:+.n_digits$} {unit}"))
}

fn line(row: &[String], widths: &[usize]) -> String {
    let cells: Vec<String> = row.iter().zip(widths).map(|(cell, &width)| format!("{cell:<width$}")).collect();
    format!("{}\n", cells.join("  ").trim_end())
}
