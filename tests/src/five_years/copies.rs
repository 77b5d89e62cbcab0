//! Copies of an invented term, so many terms earlier: every row of every table that hangs on a session or a player, with ids of its own.

use super::{names, number};
use sqlx::AssertSqlSafe;
use sqlx::sqlite::SqliteConnection;

const WEEK_MS: i64 = 7 * 24 * 3600 * 1000;

/// Ids of copies end in this.
const MARK: &str = "-earlier-";

/// One term more.
pub(super) async fn copy(records: &mut SqliteConnection, term: u16, n_weeks: u16) {
    run(records, "begin").await;
    // What they point to comes with the same transaction.
    run(records, "pragma defer_foreign_keys = on").await;
    for table in names(records, "select name from sqlite_master where type = 'table'").await {
        let columns = names(records, &format!("select name from pragma_table_info('{table}')")).await;
        let has = |name: &str| columns.iter().any(|column| column == name);
        let is_whole = has("session_id") || has("player_id");
        if !is_whole
            || table == "serving"
            || number(records, &format!("select count(*) from {table}")).await == 0
        {
            continue;
        }
        let suffix = format!("'{MARK}{term}'");
        let shift_ms = i64::from(term) * i64::from(n_weeks) * WEEK_MS;
        let value = |column: &String| match column.as_str() {
            "session_id" | "player_id" | "rehearsal_id" | "origin_id" => format!("{column} || {suffix}"),
            "time_nought_unix_ms" => format!("{column} - {shift_ms}"),
            // What was told of a player names the player once more.
            "told" | "glance" if has("player_id") => {
                format!("replace({column}, player_id, player_id || {suffix})")
            }
            other => other.to_owned(),
        };
        let values: Vec<String> = columns.iter().map(value).collect();
        let id = if has("session_id") { "session_id" } else { "player_id" };
        let invented = match (table.as_str(), id) {
            ("sessions", _) => "and invented = 1",
            (_, "session_id") => "and session_id in (select session_id from sessions where invented = 1)",
            _ => "",
        };
        let sql = format!(
            "insert into {table} ({}) select {} from {table} where {id} not like '%{MARK}%' {invented}",
            columns.join(", "),
            values.join(", ")
        );
        run(records, &sql).await;
    }
    run(records, "commit").await;
}

async fn run(records: &mut SqliteConnection, sql: &str) {
    if let Err(error) = sqlx::query(AssertSqlSafe(sql.to_owned())).execute(records).await {
        panic!("{error}: {sql}");
    }
}
