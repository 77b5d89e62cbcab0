//! Which Windrow this is: its version, and where the builder knew it the commit.

use std::sync::LazyLock;

/// As in `Cargo.toml`.
pub(crate) const VERSION: &str = env!("CARGO_PKG_VERSION");

/// Such as "0.1.0 (abc1234, 2026-11-26)"; the version alone where there is no commit.
pub(crate) fn in_full() -> &'static str {
    static IN_FULL: LazyLock<String> = LazyLock::new(|| put_together(commit(), env!("WINDROW_COMMIT_DATE")));
    &IN_FULL
}

/// Short name of the commit, with "+changes" if it was not built from that alone.
pub(crate) fn commit() -> Option<&'static str> {
    Some(env!("WINDROW_COMMIT")).filter(|commit| !commit.is_empty())
}

fn put_together(commit: Option<&str>, date: &str) -> String {
    match (commit, date) {
        (None, _) => VERSION.to_owned(),
        (Some(commit), "") => format!("{VERSION} ({commit})"),
        (Some(commit), date) => format!("{VERSION} ({commit}, {date})"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_known_is_left_out() {
        assert_eq!(put_together(None, ""), VERSION);
        assert_eq!(put_together(Some("abc1234"), ""), format!("{VERSION} (abc1234)"));
        let dated = put_together(Some("abc1234+changes"), "2026-11-26");
        assert_eq!(dated, format!("{VERSION} (abc1234+changes, 2026-11-26)"));
    }
}
