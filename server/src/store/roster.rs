//! Sections, people and devices: rows read and written one at a time. It must not know what a room does with them.

use super::records::{Store, StoreError};
use sqlx::sqlite::SqliteRow;
use sqlx::{Row, Sqlite, Transaction};
use std::collections::BTreeSet;

/// A section, with how many are in its list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SectionRow {
    /// Of this section.
    pub section_id: String,
    /// Its name.
    pub name: String,
    /// People in the list.
    pub n_people: i64,
}

/// Somebody in a section's list, or removed from it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PersonRow {
    /// Of this person.
    pub person_id: String,
    /// Name in the list.
    pub name: String,
    /// Slug of the instrument.
    pub instrument: String,
    /// As typed; may be empty.
    pub part: String,
    /// Whether the list has this person no more.
    pub is_removed: bool,
    /// Sessions with records of this person.
    pub n_sessions: i64,
    /// Devices known as this person's.
    pub n_devices: i64,
    /// Those of them that nobody has confirmed.
    pub n_unconfirmed: i64,
}

/// What a person's row is to hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PersonFields {
    /// Name in the list.
    pub name: String,
    /// Slug of the instrument.
    pub instrument: String,
    /// Empty where the room makes one.
    pub part: String,
}

/// What is known of a device.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DeviceRow {
    /// Whose it is; `None` for a nickname's.
    pub person_id: Option<String>,
    /// Whether that is certain.
    pub is_confirmed: bool,
    /// Name of the player it last was.
    pub name: Option<String>,
    /// Slug of that player's instrument.
    pub instrument: Option<String>,
}

/// What an import did.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Imported {
    /// People who are new in their list.
    pub n_added: usize,
    /// People who were there already and are as the file says now.
    pub n_updated: usize,
}

impl Store {
    /// The section with this name, made if it is not there.
    ///
    /// # Errors
    /// When it cannot be read or written.
    pub async fn section_named(&self, name: &str) -> Result<String, StoreError> {
        let mut transaction = self.pool().begin().await?;
        let section_id = section_named(&mut transaction, name).await?;
        transaction.commit().await?;
        Ok(section_id)
    }

    /// A section by its name, if it is there.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn section_id(&self, name: &str) -> Result<Option<String>, StoreError> {
        let row = sqlx::query("select section_id from sections where name = ?")
            .bind(name)
            .fetch_optional(self.pool())
            .await?;
        Ok(row.map(|row| row.try_get("section_id")).transpose()?)
    }

    /// All sections, by name.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn sections(&self) -> Result<Vec<SectionRow>, StoreError> {
        let rows = sqlx::query(
            "select s.section_id, s.name,
                    (select count(*) from people p where p.section_id = s.section_id and p.removed_unix_ms is null)
                    as n_people
             from sections s order by s.name",
        )
        .fetch_all(self.pool())
        .await?;
        let row = |r: &SqliteRow| {
            Ok(SectionRow {
                section_id: r.try_get("section_id")?,
                name: r.try_get("name")?,
                n_people: r.try_get("n_people")?,
            })
        };
        rows.iter().map(row).collect()
    }

    /// Everybody of a section in chair order, those removed as well.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn people(&self, section_id: &str) -> Result<Vec<PersonRow>, StoreError> {
        let rows = sqlx::query(
            "select p.person_id, p.name, p.instrument, p.part, p.removed_unix_ms is not null as is_removed,
                    (select count(distinct l.session_id) from players l where l.person_id = p.person_id) as n_sessions,
                    (select count(*) from devices d where d.person_id = p.person_id) as n_devices,
                    (select count(*) from devices d where d.person_id = p.person_id and not d.confirmed)
                    as n_unconfirmed
             from people p where p.section_id = ? order by p.chair, p.person_id",
        )
        .bind(section_id)
        .fetch_all(self.pool())
        .await?;
        let row = |r: &SqliteRow| {
            Ok(PersonRow {
                person_id: r.try_get("person_id")?,
                name: r.try_get("name")?,
                instrument: r.try_get("instrument")?,
                part: r.try_get("part")?,
                is_removed: r.try_get("is_removed")?,
                n_sessions: r.try_get("n_sessions")?,
                n_devices: r.try_get("n_devices")?,
                n_unconfirmed: r.try_get("n_unconfirmed")?,
            })
        };
        rows.iter().map(row).collect()
    }

    /// Adds somebody at the end of a section.
    ///
    /// # Errors
    /// When it cannot be written.
    pub async fn add_person(&self, section_id: &str, fields: &PersonFields) -> Result<String, StoreError> {
        let mut transaction = self.pool().begin().await?;
        let person_id = add(&mut transaction, section_id, fields, None).await?;
        transaction.commit().await?;
        Ok(person_id)
    }

    /// Gives a person another name, instrument or part.
    ///
    /// # Errors
    /// When it cannot be written.
    pub async fn change_person(&self, person_id: &str, fields: &PersonFields) -> Result<(), StoreError> {
        let mut transaction = self.pool().begin().await?;
        change(&mut transaction, person_id, fields).await?;
        transaction.commit().await?;
        Ok(())
    }

    /// Puts a section's list into this order.
    ///
    /// # Errors
    /// When it cannot be written.
    pub async fn order_people(&self, person_ids: &[String]) -> Result<(), StoreError> {
        let mut transaction = self.pool().begin().await?;
        for (chair, person_id) in (1i64..).zip(person_ids) {
            sqlx::query("update people set chair = ? where person_id = ?")
                .bind(chair)
                .bind(person_id)
                .execute(&mut *transaction)
                .await?;
        }
        transaction.commit().await?;
        Ok(())
    }

    /// Takes somebody off the list since a time, or with `None` puts them back.
    ///
    /// # Errors
    /// When it cannot be written.
    pub async fn remove_person(
        &self,
        person_id: &str,
        removed_unix_ms: Option<i64>,
    ) -> Result<(), StoreError> {
        sqlx::query("update people set removed_unix_ms = ? where person_id = ?")
            .bind(removed_unix_ms)
            .bind(person_id)
            .execute(self.pool())
            .await?;
        Ok(())
    }

    /// Puts the records and devices of one person under another, and forgets the first.
    ///
    /// # Errors
    /// When it cannot be written.
    pub async fn merge_people(&self, from: &str, into: &str) -> Result<(), StoreError> {
        let mut transaction = self.pool().begin().await?;
        for statement in [
            "update players set person_id = ? where person_id = ?",
            "update devices set person_id = ?, confirmed = 1 where person_id = ?",
        ] {
            sqlx::query(statement).bind(into).bind(from).execute(&mut *transaction).await?;
        }
        sqlx::query("delete from people where person_id = ?").bind(from).execute(&mut *transaction).await?;
        transaction.commit().await?;
        Ok(())
    }

    /// Confirms all devices of a person.
    ///
    /// # Errors
    /// When it cannot be written.
    pub async fn confirm_devices(&self, person_id: &str) -> Result<(), StoreError> {
        sqlx::query("update devices set confirmed = 1 where person_id = ?")
            .bind(person_id)
            .execute(self.pool())
            .await?;
        Ok(())
    }

    /// Makes all devices of a person nobody's: who comes next taps the name again.
    ///
    /// # Errors
    /// When it cannot be written.
    pub async fn forget_devices(&self, person_id: &str) -> Result<(), StoreError> {
        sqlx::query("delete from devices where person_id = ?").bind(person_id).execute(self.pool()).await?;
        Ok(())
    }

    /// The device with this token; `None` where it is strange.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn device(&self, token_sha256: &str) -> Result<Option<DeviceRow>, StoreError> {
        let row = sqlx::query(
            "select d.person_id, d.confirmed, l.name, l.instrument
             from devices d
             left join players l on l.token_sha256 = d.token_sha256
             where d.token_sha256 = ? order by l.player_id desc limit 1",
        )
        .bind(token_sha256)
        .fetch_optional(self.pool())
        .await?;
        row.map(|r| {
            Ok(DeviceRow {
                person_id: r.try_get("person_id")?,
                is_confirmed: r.try_get("confirmed")?,
                name: r.try_get("name")?,
                instrument: r.try_get("instrument")?,
            })
        })
        .transpose()
    }

    /// Brings in rows of a file, each with its section's name, all or none: who is in that section by that name is updated,
    /// whoever is not is added. The file's order becomes that of the list, with whom the file does not name behind.
    ///
    /// # Errors
    /// When they cannot be written.
    pub async fn import_people(&self, rows: &[(String, PersonFields)]) -> Result<Imported, StoreError> {
        let mut transaction = self.pool().begin().await?;
        let mut imported = Imported::default();
        let sections: BTreeSet<&String> = rows.iter().map(|(section, _)| section).collect();
        for section in sections {
            let section_id = section_named(&mut transaction, section).await?;
            // The file's people, at most 500, come before those it does not name; both keep their order.
            sqlx::query("update people set chair = chair + 1000 where section_id = ?")
                .bind(&section_id)
                .execute(&mut *transaction)
                .await?;
        }
        for (place, (section, fields)) in (1i64..).zip(rows) {
            let section_id = section_named(&mut transaction, section).await?;
            let known =
                sqlx::query("select person_id from people where section_id = ? and lower(name) = lower(?)")
                    .bind(&section_id)
                    .bind(&fields.name)
                    .fetch_optional(&mut *transaction)
                    .await?;
            match known {
                Some(row) => {
                    let person_id: String = row.try_get("person_id")?;
                    change(&mut transaction, &person_id, fields).await?;
                    sqlx::query("update people set chair = ?, removed_unix_ms = null where person_id = ?")
                        .bind(place)
                        .bind(&person_id)
                        .execute(&mut *transaction)
                        .await?;
                    imported.n_updated += 1;
                }
                None => {
                    add(&mut transaction, &section_id, fields, Some(place)).await?;
                    imported.n_added += 1;
                }
            }
        }
        transaction.commit().await?;
        Ok(imported)
    }
}

async fn section_named(transaction: &mut Transaction<'_, Sqlite>, name: &str) -> Result<String, sqlx::Error> {
    sqlx::query("insert into sections (section_id, name) values (?, ?) on conflict (name) do nothing")
        .bind(uuid::Uuid::now_v7().to_string())
        .bind(name)
        .execute(&mut **transaction)
        .await?;
    let row = sqlx::query("select section_id from sections where name = ?")
        .bind(name)
        .fetch_one(&mut **transaction)
        .await?;
    row.try_get("section_id")
}

async fn add(
    transaction: &mut Transaction<'_, Sqlite>,
    section_id: &str,
    fields: &PersonFields,
    chair: Option<i64>,
) -> Result<String, sqlx::Error> {
    let person_id = uuid::Uuid::now_v7().to_string();
    sqlx::query(
        "insert into people (person_id, section_id, name, instrument, part, chair)
         values (?, ?, ?, ?, ?, coalesce(?, (select coalesce(max(chair), 0) + 1 from people where section_id = ?)))",
    )
    .bind(&person_id)
    .bind(section_id)
    .bind(&fields.name)
    .bind(&fields.instrument)
    .bind(&fields.part)
    .bind(chair)
    .bind(section_id)
    .execute(&mut **transaction)
    .await?;
    Ok(person_id)
}

async fn change(
    transaction: &mut Transaction<'_, Sqlite>,
    person_id: &str,
    fields: &PersonFields,
) -> Result<(), sqlx::Error> {
    sqlx::query("update people set name = ?, instrument = ?, part = ? where person_id = ?")
        .bind(&fields.name)
        .bind(&fields.instrument)
        .bind(&fields.part)
        .bind(person_id)
        .execute(&mut **transaction)
        .await?;
    Ok(())
}
