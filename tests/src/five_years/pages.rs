//! The pages and files of large records, each beside a bare query that reads the rows it needs, in the same run.

use crate::TestServer;
use crate::request::get;
use serde::Serialize;
use sqlx::sqlite::SqliteConnection;
use sqlx::{AssertSqlSafe, Row};
use std::time::Instant;

/// Loads of a page after its first.
const N_LOADS: usize = 5;
const SECTION: &str = "Larkmoor Youth Winds";

/// A page's times.
#[derive(Debug, Serialize)]
pub struct Page {
    /// Its address, ids left out.
    pub name: String,
    /// Of its answer's body.
    pub bytes: usize,
    /// The first load.
    pub first_ms: f64,
    /// The middle one of those after it.
    pub ms: f64,
    /// Rows of the bare query.
    pub sql_rows: u64,
    /// The middle one of as many runs of it.
    pub sql_ms: f64,
    /// Page over query.
    pub ratio: f64,
}

/// All of them.
pub(super) async fn pages(server: &TestServer, records: &mut SqliteConnection) -> Vec<Page> {
    let rehearsal: String = text(
        records,
        "select session_id from sessions where kind = 'rehearsal' and invented = 1
         order by time_nought_unix_ms desc limit 1",
    )
    .await;
    let person: String = text(records, "select person_id from people order by chair limit 1").await;
    let stretches = "select t.*, s.kind, s.invented, s.rehearsal_id, s.time_nought_unix_ms, p.person_id, p.name, p.instrument, p.chair
                     from stretches t join players p on p.player_id = t.player_id join sessions s on s.session_id = t.session_id";
    let of_rehearsal = format!("session_id = '{rehearsal}'");
    let at = |path: &str| format!("/conduct/rehearsals/{rehearsal}{path}");
    let asked = [
        (
            "/conduct/rehearsals",
            "/conduct/rehearsals".to_owned(),
            format!(
                "select s.*, (select count(*) from runs r where r.session_id = s.session_id),
                        (select count(*) from players p where p.session_id = s.session_id)
                 from sessions s where s.section_name = '{SECTION}'"
            ),
        ),
        ("/conduct/weeks", "/conduct/weeks".to_owned(), format!("{stretches} where s.section_name = '{SECTION}'")),
        (
            "/conduct/weeks/PERSON",
            format!("/conduct/weeks/{person}"),
            format!("{stretches} where p.person_id = '{person}'"),
        ),
        (
            "/conduct/rehearsals/ID",
            at(""),
            format!("select * from runs r join run_players p using (session_id, number) where r.{of_rehearsal}"),
        ),
        (
            "/conduct/rehearsals/ID/results",
            at("/results"),
            format!("select * from runs r join run_players p using (session_id, number) where r.{of_rehearsal}"),
        ),
        ("/conduct/rehearsals/ID/results.csv", at("/results.csv"), format!("{stretches} where t.{of_rehearsal}")),
        (
            "/conduct/rehearsals/ID/pulses.csv",
            at("/pulses.csv"),
            format!("select k.* from pulse_packs k join players p using (player_id) where p.{of_rehearsal}"),
        ),
        (
            "/conduct/rehearsals/ID/session.json",
            at("/session.json"),
            format!("select k.* from pulse_packs k join players p using (player_id) where p.{of_rehearsal}"),
        ),
        (
            "/conduct/roster",
            "/conduct/roster".to_owned(),
            "select p.*, (select count(distinct l.session_id) from players l where l.person_id = p.person_id) from people p"
                .to_owned(),
        ),
    ];
    let mut pages = Vec::new();
    for (name, path, sql) in asked {
        pages.extend(page(server, records, name, &path, &sql).await);
    }
    pages
}

/// One page; `None` where the program has none at that address.
async fn page(
    server: &TestServer,
    records: &mut SqliteConnection,
    name: &str,
    path: &str,
    sql: &str,
) -> Option<Page> {
    let cookie = server.conductor_cookie();
    let addr = server.running().http_addr;
    let mut times_ms = Vec::new();
    let mut bytes = 0;
    for _ in 0..=N_LOADS {
        let begun = Instant::now();
        let answer = get(addr, path, &[("Cookie", &cookie)]).await;
        times_ms.push(begun.elapsed().as_secs_f64() * 1e3);
        bytes = answer.body.len();
        if answer.status == 404 {
            return None;
        }
        assert_eq!(answer.status, 200, "{path}");
    }
    let mut sql_times_ms = Vec::new();
    let mut sql_rows = 0;
    for _ in 0..N_LOADS {
        let begun = Instant::now();
        let rows = sqlx::query(AssertSqlSafe(sql.to_owned())).fetch_all(&mut *records).await.expect(sql);
        sql_times_ms.push(begun.elapsed().as_secs_f64() * 1e3);
        sql_rows = rows.len() as u64;
    }
    let first_ms = times_ms.remove(0);
    let (ms, sql_ms) = (middle(times_ms), middle(sql_times_ms));
    Some(Page { name: name.to_owned(), bytes, first_ms, ms, sql_rows, sql_ms, ratio: ms / sql_ms })
}

fn middle(mut times_ms: Vec<f64>) -> f64 {
    times_ms.sort_by(f64::total_cmp);
    times_ms[times_ms.len() / 2]
}

async fn text(records: &mut SqliteConnection, sql: &'static str) -> String {
    let row = sqlx::query(sql).fetch_one(&mut *records).await.expect(sql);
    row.get(0)
}
