//! Plans made for rungs are good plans, and plans are found by what is played in them, whatever they are called.

use super::*;
use crate::plan::{built_in, built_in_named, read};
use crate::words::Language;
use windrow_protocol::score::PerBeat;
use windrow_protocol::units::Bpm;

fn rung(per_beat: u8, bpm: f64) -> Rung {
    Rung { per_beat: PerBeat::new(per_beat).unwrap(), bpm: Bpm::new(bpm).unwrap() }
}

#[test]
fn a_plan_for_any_rung_of_the_way_is_good_and_has_it() {
    for language in Language::ALL {
        let way = std::iter::successors(Some(Rung::first()), |rung| rung.next());
        for rung in way.chain([rung(5, 84.0), rung(6, 60.0)]) {
            let plan = read(&plan_for(Words::new(language), rung));
            let plan = plan.unwrap_or_else(|bad| panic!("{rung:?}: {:?}", bad.found()));
            let lesson = compile(&plan);
            let pieces: Vec<bool> = lesson.pieces.iter().map(|piece| has(piece, rung)).collect();
            assert_eq!(pieces, [false, false, true, true], "{rung:?}");
        }
    }
}

#[test]
fn a_plan_for_a_tempo_between_two_marks_climbs_to_the_mark_above() {
    let plan = read(&plan_for(Words::default(), rung(2, 62.5))).unwrap();
    let lesson = compile(&plan);
    // 60 and 63 are marks.
    let has = |idx: usize, bpm: f64| has(&lesson.pieces[idx], rung(2, bpm));
    assert!(has(1, 60.0) && has(2, 63.0) && has(3, 62.5));
}

/// Read in the plans' files: the first fortnight has triplets at 60, none of them sixteenths at 104.
#[test]
fn a_plan_that_came_with_the_program_is_found_by_what_is_played() {
    let plan = built_in_named("first-fortnight", Language::English).unwrap();
    let has_it = |wanted| compile(plan).pieces.iter().any(|piece| has(piece, wanted));
    assert!(has_it(rung(3, 60.0)));
    let anywhere = |wanted| {
        built_in(Language::English)
            .iter()
            .any(|plan| compile(plan).pieces.iter().any(|piece| has(piece, wanted)))
    };
    assert!(!anywhere(rung(4, 104.0)));
}
