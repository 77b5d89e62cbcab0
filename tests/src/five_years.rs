//! Years of weekly rehearsals in one file, and how long its pages take beside a bare query of the same rows: figures for people, never
//! a test, since times are those of the computer at hand. One invented term is played through rooms and written as invented weeks
//! always are; the terms before it are copies of its rows with other ids and earlier dates, since to play them all would take an hour.

mod copies;
mod pages;

use crate::TestServer;
use pages::{Page, pages};
use serde::Serialize;
use sqlx::sqlite::{SqliteConnectOptions, SqliteConnection};
use sqlx::{AssertSqlSafe, Connection, Row};
use std::path::Path;
use std::time::Instant;
use windrow::invented::{InventError, Season, invent};
use windrow::store::Store;
use windrow::words::Language;

/// What is made.
#[derive(Debug, Clone, Copy)]
pub struct Years {
    /// Of 52 weekly rehearsals.
    pub n_years: u16,
    /// People in the list.
    pub n_players: u16,
    /// Weeks that are played; the others are copies.
    pub n_weeks_of_term: u16,
}

/// What was measured.
#[derive(Debug, Serialize)]
pub struct Found {
    /// Rehearsals in the records.
    pub n_rehearsals: u64,
    /// Practices at home.
    pub n_practices: u64,
    /// People in the list.
    pub n_people: u64,
    /// Pulses of the journal and of packs.
    pub n_pulses: u64,
    /// Of the database's file.
    pub file_bytes: u64,
    /// The tables that take most, with their indexes.
    pub tables: Vec<Table>,
    /// What pulses take in the journal, in packs and in the traces of runs, over their number.
    pub bytes_a_pulse: f64,
    /// From nothing to listening.
    pub start_s: f64,
    /// SQLite's own check of the whole file.
    pub check_s: f64,
    /// A copy of the file by SQLite's own means.
    pub copy_s: f64,
    /// Each with the middle of its loads.
    pub pages: Vec<Page>,
}

/// A table.
#[derive(Debug, Serialize)]
pub struct Table {
    /// Its name.
    pub name: String,
    /// Its rows.
    pub n_rows: u64,
    /// Its pages with those of its indexes, by SQLite's dbstat.
    pub bytes: u64,
}

/// Makes the records; `show` is told what is being done.
///
/// # Errors
/// When a term cannot be invented.
pub async fn make(data_dir: &Path, years: Years, show: impl Fn(&str)) -> Result<(), InventError> {
    std::fs::create_dir_all(data_dir).expect("a directory beside the program");
    let begun = Instant::now();
    let season = Season {
        n_weeks: years.n_weeks_of_term,
        n_people: years.n_players,
        seed: 1,
        // 16 April 2026, four in the afternoon.
        last_unix_ms: 1_776_355_200_000,
        language: Language::English,
    };
    invent(data_dir, season, |week| show(&format!("week {week}"))).await?;
    show(&format!("{} weeks played in {:.1} s", years.n_weeks_of_term, begun.elapsed().as_secs_f64()));
    // As a server does with sessions that are over, in the background.
    let begun = Instant::now();
    let store = Store::open(data_dir).await?;
    let n_packed = store.pack_pulses().await?;
    store.close().await;
    show(&format!("pulses of {n_packed} players packed in {:.1} s", begun.elapsed().as_secs_f64()));
    let n_terms = (52 * years.n_years).div_ceil(years.n_weeks_of_term);
    let begun = Instant::now();
    let mut records = open(data_dir).await;
    // Two years are kept where nobody says otherwise.
    let keep = "insert into retention (retention_id, keep_days) values (1, 3650)";
    sqlx::query(keep).execute(&mut records).await.expect("a row");
    for term in 1..n_terms {
        copies::copy(&mut records, term, years.n_weeks_of_term).await;
        show(&format!("term {term} of {} copied", n_terms - 1));
    }
    records.close().await.expect("the records close");
    show(&format!("copied in {:.1} s", begun.elapsed().as_secs_f64()));
    Ok(())
}

async fn open(data_dir: &Path) -> SqliteConnection {
    let options = SqliteConnectOptions::new().filename(data_dir.join("windrow.sqlite3"));
    SqliteConnection::connect_with(&options).await.expect("the records open")
}

async fn number(records: &mut SqliteConnection, sql: &str) -> u64 {
    let row = sqlx::query(AssertSqlSafe(sql.to_owned())).fetch_one(records).await.expect(sql);
    row.get::<i64, _>(0).cast_unsigned()
}

async fn names(records: &mut SqliteConnection, sql: &str) -> Vec<String> {
    let rows = sqlx::query(AssertSqlSafe(sql.to_owned())).fetch_all(records).await.expect(sql);
    rows.iter().map(|row| row.get(0)).collect()
}

/// Measures what is there.
///
/// # Panics
/// When the records cannot be opened or a page does not come.
pub async fn measure(data_dir: &Path) -> Found {
    let mut records = open(data_dir).await;
    let tables = tables(&mut records).await;
    let bytes_of = |name: &str| tables.iter().find(|table| table.name == name).map_or(0, |table| table.bytes);
    let traces = number(&mut records, "select coalesce(sum(length(pulses)), 0) from run_players").await;
    let mut n_pulses = number(&mut records, "select count(*) from pulses").await;
    if tables.iter().any(|table| table.name == "pulse_packs") {
        n_pulses += number(&mut records, "select coalesce(sum(n_pulses), 0) from pulse_packs").await;
    }
    let pulse_bytes = bytes_of("pulses") + bytes_of("pulse_packs") + traces;
    let of_kind =
        |kind: &str| format!("select count(*) from sessions where kind = '{kind}' and invented = 1");
    let n_rehearsals = number(&mut records, &of_kind("rehearsal")).await;
    let n_practices = number(&mut records, &of_kind("practice")).await;
    let n_people = number(&mut records, "select count(*) from people").await;
    let check_s = seconds(&mut records, "pragma integrity_check").await;
    let copy = data_dir.join("copy.sqlite3");
    // One of an earlier run would be in the way.
    let _ = std::fs::remove_file(&copy);
    let copy_s = seconds(&mut records, &format!("vacuum into '{}'", copy.display())).await;
    let _ = std::fs::remove_file(&copy);
    let begun = Instant::now();
    let server = TestServer::start_in(data_dir.to_owned()).await;
    let start_s = begun.elapsed().as_secs_f64();
    let pages = pages(&server, &mut records).await;
    records.close().await.expect("the records close");
    server.stop().await;
    let file_bytes = std::fs::metadata(data_dir.join("windrow.sqlite3")).map_or(0, |meta| meta.len());
    Found {
        n_rehearsals,
        n_practices,
        n_people,
        n_pulses,
        file_bytes,
        tables,
        bytes_a_pulse: pulse_bytes as f64 / n_pulses as f64,
        start_s,
        check_s,
        copy_s,
        pages,
    }
}

async fn seconds(records: &mut SqliteConnection, sql: &str) -> f64 {
    let begun = Instant::now();
    sqlx::query(AssertSqlSafe(sql.to_owned())).fetch_all(records).await.expect(sql);
    begun.elapsed().as_secs_f64()
}

async fn tables(records: &mut SqliteConnection) -> Vec<Table> {
    let rows = sqlx::query(
        "select m.tbl_name, sum(d.pgsize) from dbstat d join sqlite_master m on m.name = d.name
         group by m.tbl_name having sum(d.pgsize) > 100000 order by 2 desc",
    )
    .fetch_all(&mut *records)
    .await
    .expect("dbstat is compiled in");
    let mut tables = Vec::new();
    for row in rows {
        let name: String = row.get(0);
        let n_rows = number(records, &format!("select count(*) from {name}")).await;
        tables.push(Table { name, n_rows, bytes: row.get::<i64, _>(1).cast_unsigned() });
    }
    tables
}
