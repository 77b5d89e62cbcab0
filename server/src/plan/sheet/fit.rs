//! Fits a sheet's cards onto as few pages as can be: how large the type, how many columns, which card stands in which. Lengths
//! are sizes of the type (em). Knows no music; `web/static/sheet.css` sets the page by the same figures.

/// Size of the type at 100 per cent, mm: nine points.
pub(super) const TYPE_MM: f64 = 9.0 * 25.4 / 72.0;
/// Between the columns.
pub(super) const GUTTER: f64 = 1.6;
/// What the browser may need over what was reckoned: rounding of lines and borders.
const SLACK: f64 = 0.6;

/// How a sheet is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Setting {
    /// Of the usual size of the type.
    pub(super) per_cent: u32,
    pub(super) n_columns: usize,
    /// What is the same as an earlier exercise is not drawn again.
    pub(super) is_brief: bool,
}

const fn setting(per_cent: u32, n_columns: usize, is_brief: bool) -> Setting {
    Setting { per_cent, n_columns, is_brief }
}

/// From roomy to tight. Under 66 per cent, six points, nobody reads from a stand; our own choice.
pub(super) const SETTINGS: [Setting; 12] = [
    setting(125, 1, false),
    setting(110, 1, false),
    setting(110, 2, false),
    setting(105, 2, false),
    setting(100, 2, false),
    setting(95, 2, false),
    setting(90, 2, false),
    setting(85, 2, false),
    setting(80, 2, true),
    setting(75, 2, true),
    setting(70, 2, true),
    setting(66, 2, true),
];
/// What goes over one page is set like this, on as many as it takes.
pub(super) const SEVERAL_PAGES: Setting = setting(90, 2, false);

/// Heights of what stands on a page.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Heights {
    pub(super) page: f64,
    /// Above the cards, on the first page and on later ones.
    pub(super) head: f64,
    pub(super) later_head: f64,
    /// Log and cautions, on the last page.
    pub(super) foot: f64,
    pub(super) cards: Vec<f64>,
}

/// A page: the cards of each column, by their places.
pub(super) type Page = Vec<Vec<usize>>;

/// All on one page, or `None` where it does not fit.
pub(super) fn one_page(heights: &Heights, n_columns: usize) -> Option<Page> {
    let room = heights.page - heights.head - heights.foot - SLACK;
    let (columns, tallest) = columns(&heights.cards, 0, n_columns);
    (tallest <= room).then_some(columns)
}

/// As many pages as it takes; the last has the foot. A card that is higher than a page stands on one alone.
pub(super) fn several_pages(heights: &Heights, n_columns: usize) -> Vec<Page> {
    let n_cards = heights.cards.len();
    let mut pages = Vec::new();
    let mut first = 0;
    loop {
        let head = if first == 0 { heights.head } else { heights.later_head };
        let room = heights.page - head - SLACK;
        let (all, tallest) = columns(&heights.cards[first..], first, n_columns);
        if tallest <= room - heights.foot {
            pages.push(all);
            return pages;
        }
        let fits = |&n: &usize| columns(&heights.cards[first..first + n], first, n_columns).1 <= room;
        let n = (1..=n_cards - first).take_while(fits).last().unwrap_or(1);
        pages.push(columns(&heights.cards[first..first + n], first, n_columns).0);
        first += n;
    }
}

/// Cards in reading order in one or two columns that are as even as can be, and the height of the taller one.
pub(super) fn columns(heights: &[f64], first: usize, n_columns: usize) -> (Page, f64) {
    let places: Vec<usize> = (first..first + heights.len()).collect();
    let whole: f64 = heights.iter().sum();
    if n_columns == 1 {
        return (vec![places], whole);
    }
    let tallest = |split: &usize| {
        let left: f64 = heights[..*split].iter().sum();
        left.max(whole - left)
    };
    let split = (0..=heights.len()).min_by(|a, b| tallest(a).total_cmp(&tallest(b))).unwrap_or(0);
    let (left, right) = places.split_at(split);
    (vec![left.to_vec(), right.to_vec()], tallest(&split))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heights(cards: &[f64]) -> Heights {
        Heights { page: 100.0, head: 10.0, later_head: 4.0, foot: 20.0, cards: cards.to_vec() }
    }

    #[test]
    fn columns_are_even_and_in_reading_order() {
        assert_eq!(one_page(&heights(&[30.0, 20.0, 25.0, 25.0]), 2), Some(vec![vec![0, 1], vec![2, 3]]));
        assert_eq!(one_page(&heights(&[30.0, 30.0]), 1), Some(vec![vec![0, 1]]));
        assert_eq!(one_page(&heights(&[30.0, 40.0]), 1), None);
    }

    #[test]
    fn what_does_not_fit_goes_on_and_the_foot_comes_last() {
        let pages = several_pages(&heights(&[40.0; 6]), 2);
        assert_eq!(pages, vec![vec![vec![0, 1], vec![2, 3]], vec![vec![4], vec![5]]]);
        // Cards that fill the last page leave the foot to one of its own.
        let pages = several_pages(&heights(&[80.0; 2]), 2);
        assert_eq!(pages, vec![vec![vec![0], vec![1]], vec![vec![], vec![]]]);
        assert_eq!(several_pages(&heights(&[300.0]), 2).len(), 2);
    }
}
