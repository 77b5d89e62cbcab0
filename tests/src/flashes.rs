//! Flashes on a page, by the definition of WCAG 2.2 ("general flash"): a pair of opposing changes of relative luminance by a tenth
//! or more, the darker side below 0.80, over a quarter of 341 by 256 px of a 1024 by 768 page at once; more than three in a second
//! are too many. Pictures come from the browser's own screencast; must know nothing of what is on the page.

use crate::chromium::{Chromium, Page};
use serde_json::{Value, json};

/// Cells of a picture in which brightness is looked at, across and down, and their size in px of the page.
const CELLS: (usize, usize) = (128, 96);
const CELL_PX: usize = 8;
/// Cells of the area that counts: a quarter of 341 by 256 px.
const LARGEST: usize = 341 * 256 / 4 / (CELL_PX * CELL_PX);
/// Window within which they have to lie, cells.
const AROUND: (usize, usize) = (341 / CELL_PX + 1, 256 / CELL_PX + 1);
/// Change of relative luminance that counts, and the darker side's limit.
const CHANGE: f64 = 0.1;
const DARKER_BELOW: f64 = 0.8;
/// Flashes in a second that are still allowed.
const ALLOWED: usize = 3;

/// Reads a picture in the browser: brightness of each cell, row by row, from mean colours, linearised as WCAG says.
const DECODE: &str = r"
    window.decode = async (data) => {
      const bytes = Uint8Array.from(atob(data), (c) => c.charCodeAt(0));
      const picture = await createImageBitmap(new Blob([bytes]), { resizeWidth: ACROSS, resizeHeight: DOWN, resizeQuality: 'medium' });
      const canvas = new OffscreenCanvas(ACROSS, DOWN);
      const context = canvas.getContext('2d');
      context.drawImage(picture, 0, 0);
      const { data: rgba } = context.getImageData(0, 0, ACROSS, DOWN);
      const linear = (v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4);
      return Array.from({ length: ACROSS * DOWN }, (_, i) =>
        0.2126 * linear(rgba[4 * i] / 255) + 0.7152 * linear(rgba[4 * i + 1] / 255) + 0.0722 * linear(rgba[4 * i + 2] / 255));
    }";

/// What was seen.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Seen {
    /// Pictures looked at.
    pub n_pictures: usize,
    /// Most flashes of any cell within a second.
    pub most: usize,
    /// Cells with more than three within a second that lie together in the area of the definition; it allows `LARGEST` of them.
    pub n_cells: usize,
}

impl Seen {
    /// Whether a person could be harmed.
    pub fn is_too_much(&self) -> bool {
        self.n_cells > LARGEST
    }
}

/// Watches a page of 1024 by 768 for some seconds. `reader` is another page of the browser, which reads the pictures.
///
/// # Panics
/// When the browser gives no pictures of a page that moves.
pub async fn watch(page: &mut Page, reader: &Page, seconds: f64) -> Seen {
    let window = json!({"width": 1024, "height": 768, "deviceScaleFactor": 1, "mobile": false});
    page.command("Emulation.setDeviceMetricsOverride", window).await;
    drop(page.events());
    let cast = json!({"format": "jpeg", "quality": 80, "everyNthFrame": 1});
    page.command("Page.startScreencast", cast).await;
    let mut pictures: Vec<(f64, Value)> = Vec::new();
    while pictures.first().zip(pictures.last()).is_none_or(|(a, b)| b.0 - a.0 < seconds) {
        let (event, _) = page.next("Page.screencastFrame", 20).await;
        let params = &event["params"];
        let at_s = params["metadata"]["timestamp"].as_f64().unwrap_or_default();
        pictures.push((at_s, params["data"].clone()));
        page.command("Page.screencastFrameAck", json!({"sessionId": params["sessionId"]})).await;
    }
    page.command("Page.stopScreencast", json!({})).await;
    let script = DECODE.replace("ACROSS", &CELLS.0.to_string()).replace("DOWN", &CELLS.1.to_string());
    reader.ask(&format!("{script}; 0")).await;
    let mut times_s = Vec::new();
    let mut cells: Vec<Vec<f64>> = vec![Vec::new(); CELLS.0 * CELLS.1];
    for (at_s, data) in &pictures {
        let brightness = reader.ask(&format!("decode({data})")).await;
        let brightness = brightness.as_array().cloned().unwrap_or_default();
        assert_eq!(brightness.len(), cells.len(), "the picture was read");
        times_s.push(*at_s);
        for (cell, value) in cells.iter_mut().zip(brightness) {
            cell.push(value.as_f64().unwrap_or_default());
        }
    }
    let flashes: Vec<Vec<f64>> = cells.iter().map(|cell| flashes(&times_s, cell)).collect();
    // What flashes at one moment and what flashes at another are no flash together.
    let in_second = |from: f64| -> Vec<usize> {
        let is_in = |at: &&f64| **at >= from && **at < from + 1.0;
        flashes.iter().map(|cell| cell.iter().filter(is_in).count()).collect()
    };
    Seen {
        n_pictures: times_s.len(),
        most: flashes.iter().map(|cell| most_in_a_second(cell)).max().unwrap_or_default(),
        n_cells: times_s.iter().step_by(4).map(|&from| densest(&in_second(from))).max().unwrap_or_default(),
    }
}

/// Moments at which a flash was complete: the brightness had gone one way and then the other, by enough each time.
fn flashes(times_s: &[f64], brightness: &[f64]) -> Vec<f64> {
    let mut turns: Vec<(f64, bool)> = Vec::new();
    let (mut low, mut high) = (brightness[0], brightness[0]);
    for (&at_s, &now) in times_s.iter().zip(brightness) {
        (low, high) = (low.min(now), high.max(now));
        let has_risen = now - low >= CHANGE && low < DARKER_BELOW;
        let has_fallen = high - now >= CHANGE && now < DARKER_BELOW;
        let last = turns.last().map(|turn| turn.1);
        if has_risen && last != Some(true) {
            turns.push((at_s, true));
            (low, high) = (now, now);
        } else if has_fallen && last != Some(false) {
            turns.push((at_s, false));
            (low, high) = (now, now);
        } else if has_risen || has_fallen {
            (low, high) = (now, now);
        }
    }
    turns.chunks_exact(2).map(|pair| pair[1].0).collect()
}

fn most_in_a_second(at_s: &[f64]) -> usize {
    let within = |from: f64| at_s.iter().filter(|&&at| at >= from && at < from + 1.0).count();
    at_s.iter().map(|&from| within(from)).max().unwrap_or_default()
}

/// Most cells over the limit within the area of the definition, wherever it is laid.
fn densest(most: &[usize]) -> usize {
    let is_over = |x: usize, y: usize| most[y * CELLS.0 + x] > ALLOWED;
    let mut densest = 0;
    for top in (0..CELLS.1).step_by(4) {
        for left in (0..CELLS.0).step_by(4) {
            let (bottom, right) = ((top + AROUND.1).min(CELLS.1), (left + AROUND.0).min(CELLS.0));
            let n = (top..bottom)
                .flat_map(|y| (left..right).map(move |x| (x, y)))
                .filter(|&(x, y)| is_over(x, y))
                .count();
            densest = densest.max(n);
        }
    }
    densest
}

/// Two pages of a browser: one to be watched, one to read pictures.
pub async fn two_pages(chromium: &Chromium) -> (Page, Page) {
    (chromium.page().await, chromium.page().await)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_flash_is_two_opposing_changes_that_are_large_enough() {
        let times: Vec<f64> = (0..20).map(|i| f64::from(i) / 10.0).collect();
        // Black and white in turns, a tenth of a second each: five flashes a second.
        let strobe: Vec<f64> = (0..20).map(|i| f64::from(i % 2)).collect();
        assert_eq!(most_in_a_second(&flashes(&times, &strobe)), 5);
        // Too small a change, and one between bright and brighter.
        let faint: Vec<f64> = (0..20).map(|i| 0.4 + 0.09 * f64::from(i % 2)).collect();
        assert_eq!(flashes(&times, &faint).len(), 0);
        let bright: Vec<f64> = (0..20).map(|i| 0.81 + 0.19 * f64::from(i % 2)).collect();
        assert_eq!(flashes(&times, &bright).len(), 0);
        // What only grows is no flash.
        let growing: Vec<f64> = (0..20).map(|i| f64::from(i) / 20.0).collect();
        assert_eq!(flashes(&times, &growing).len(), 0);
    }

    #[test]
    fn cells_count_where_they_lie_together() {
        let mut most = vec![0; CELLS.0 * CELLS.1];
        for y in 10..30 {
            for x in 10..30 {
                most[y * CELLS.0 + x] = 4;
            }
        }
        assert_eq!(densest(&most), 400);
        assert!(Seen { n_pictures: 1, most: 4, n_cells: 400 }.is_too_much());
        // Another far away does not add to them.
        *most.last_mut().unwrap() = 9;
        assert_eq!(densest(&most), 400);
    }
}
