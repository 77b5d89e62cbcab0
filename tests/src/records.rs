//! The records as they lie in the file, read and made without the program: by SQL alone. It must know no more of the program than
//! its migrations, which it reads from their folder.

use sqlx::migrate::Migrator;
use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection};
use sqlx::{AssertSqlSafe, ConnectOptions, Connection, Row};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Name of the file in a data directory.
pub const FILE: &str = "windrow.sqlite3";

/// Rows of a table, each with its columns as SQL writes their values; in an order that only depends on the rows.
pub type Rows = Vec<BTreeMap<String, String>>;

/// A file of records, to read and to write as it is.
///
/// # Panics
/// When it cannot be opened: no test can go on then.
pub async fn open(file: &Path) -> SqliteConnection {
    let options = SqliteConnectOptions::new().filename(file).create_if_missing(false).foreign_keys(true);
    options.connect().await.expect("the records can be opened")
}

/// Everything in a file, by table; what the migrations themselves keep is left out.
///
/// # Panics
/// When it cannot be read.
pub async fn everything(file: &Path) -> BTreeMap<String, Rows> {
    let mut connection = open(file).await;
    let tables = column(&mut connection, "select name from sqlite_master where type = 'table'").await;
    let mut everything = BTreeMap::new();
    for table in tables.into_iter().filter(|name| !name.starts_with('_') && !name.starts_with("sqlite_")) {
        let columns =
            column(&mut connection, &format!("select name from pragma_table_info('{table}')")).await;
        let quoted: Vec<String> = columns.iter().map(|name| format!("quote(\"{name}\")")).collect();
        let sql = format!("select {} from \"{table}\"", quoted.join(", "));
        let found =
            sqlx::query(AssertSqlSafe(sql)).fetch_all(&mut connection).await.expect("a table can be read");
        let mut rows: Rows = found
            .iter()
            .map(|row| columns.iter().enumerate().map(|(n, name)| (name.clone(), row.get(n))).collect())
            .collect();
        rows.sort();
        everything.insert(table, rows);
    }
    connection.close().await.expect("it was only read");
    everything
}

/// The first column of what a query finds, as text.
///
/// # Panics
/// When the query fails.
pub async fn column(connection: &mut SqliteConnection, sql: &str) -> Vec<String> {
    let rows =
        sqlx::query(AssertSqlSafe(sql.to_owned())).fetch_all(connection).await.expect("a query that works");
    rows.iter().map(|row| row.get(0)).collect()
}

/// One number that a query finds.
///
/// # Panics
/// When the query fails.
pub async fn number(file: &Path, sql: &str) -> i64 {
    let mut connection = open(file).await;
    let row = sqlx::query(AssertSqlSafe(sql.to_owned())).fetch_one(&mut connection).await.expect("one row");
    connection.close().await.expect("it was only read");
    row.get(0)
}

/// Runs statements on a file.
///
/// # Panics
/// When one fails.
pub async fn run(file: &Path, sql: &str) {
    let mut connection = open(file).await;
    let done = sqlx::raw_sql(AssertSqlSafe(sql.to_owned())).execute(&mut connection).await;
    done.expect("statements that work");
    connection.close().await.expect("nothing is under way");
}

/// Versions there are, with the text of rows that each can have more than the one before.
///
/// # Panics
/// When a version has no rows: whoever adds a migration adds a file of rows as they are written then.
pub async fn versions() -> Vec<(i64, String)> {
    let rows = project().join("tests/fixtures/records");
    let text = |version: i64| {
        let path = rows.join(format!("{version:04}.sql"));
        std::fs::read_to_string(&path).unwrap_or_else(|_| panic!("there are no rows for version {version}"))
    };
    migrations().await.iter().map(|migration| (migration.version, text(migration.version))).collect()
}

/// Makes records as a program of this version left them, with its rows, in a directory.
///
/// # Panics
/// When they cannot be made.
pub async fn make(data_dir: &Path, version: i64) {
    std::fs::create_dir_all(data_dir).expect("a directory");
    let options = SqliteConnectOptions::new()
        .filename(data_dir.join(FILE))
        .create_if_missing(true)
        .journal_mode(sqlx::sqlite::SqliteJournalMode::Wal)
        .foreign_keys(true);
    let mut connection = options.connect().await.expect("a new file");
    let migrator = migrations().await;
    for (each, rows) in versions().await {
        if each > version {
            break;
        }
        migrator.run_direct(Some(each), &mut connection, false).await.expect("a migration that works");
        let written = sqlx::raw_sql(AssertSqlSafe(rows)).execute(&mut connection).await;
        written.unwrap_or_else(|error| panic!("rows of version {each}: {error}"));
    }
    connection.close().await.expect("nothing is under way");
}

async fn migrations() -> Migrator {
    Migrator::new(project().join("migrations")).await.expect("migrations that can be read")
}

fn project() -> PathBuf {
    crate::wasm_sources::project()
}
