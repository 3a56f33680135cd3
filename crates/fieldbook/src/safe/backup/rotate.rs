//! Which backups stay.
//!
//! The last ones, and of the days and months before that have any, the last of each. Days and
//! months are counted among those that have a backup, so a book that rests over winter loses none.

use std::collections::HashSet;
use std::fs;
use std::path::PathBuf;

use super::Found;

/// How many backups stay.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rotation {
    /// The last ones.
    pub last: usize,
    /// Days of which the last backup stays, UTC.
    pub days: usize,
    /// Months of which the last backup stays, UTC.
    pub months: usize,
}

impl Default for Rotation {
    fn default() -> Self {
        Rotation {
            last: 5,
            days: 14,
            months: 12,
        }
    }
}

impl Rotation {
    /// Which of these instants stay, by index; RFC 3339, oldest first. The newest always does.
    pub fn kept(&self, made_at: &[&str]) -> Vec<bool> {
        let mut kept = vec![false; made_at.len()];
        for at in kept.iter_mut().rev().take(self.last.max(1)) {
            *at = true;
        }
        // `2026-07-14`, `2026-07`
        for (length, most) in [(10, self.days), (7, self.months)] {
            let mut seen = HashSet::new();
            for (at, instant) in made_at.iter().enumerate().rev() {
                let period = instant.get(..length).unwrap_or(instant);
                if seen.len() < most && seen.insert(period) {
                    kept[at] = true;
                }
            }
        }
        kept
    }
}

/// Removes what is no longer kept of these, oldest first; gives those removed. One that cannot be
/// removed stays, and is tried again next time.
pub(super) fn remove_outlived(found: &[Found], rotation: &Rotation) -> Vec<PathBuf> {
    let made_at: Vec<&str> = found.iter().map(|f| f.manifest.made_at.as_str()).collect();
    let outlived = found.iter().zip(rotation.kept(&made_at));
    let mut removed = Vec::new();
    for (one, _) in outlived.filter(|(_, kept)| !kept) {
        // Without its manifest it is no backup any more, however far the removal gets.
        let gone = fs::remove_file(one.folder.join(super::MANIFEST))
            .and_then(|()| fs::remove_dir_all(&one.folder));
        if gone.is_ok() {
            removed.push(one.folder.clone());
        }
    }
    removed
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kept<'t>(rotation: Rotation, made_at: &[&'t str]) -> Vec<&'t str> {
        let stay = rotation.kept(made_at);
        let both = made_at.iter().zip(stay);
        both.filter_map(|(at, stays)| stays.then_some(*at))
            .collect()
    }

    #[test]
    fn the_last_stay_and_the_last_of_each_day_and_month() {
        let made_at = [
            "2026-05-30T08:00:00.000Z",
            "2026-05-31T08:00:00.000Z",
            "2026-06-02T08:00:00.000Z",
            "2026-06-02T09:00:00.000Z",
            "2026-06-03T08:00:00.000Z",
            "2026-06-03T09:00:00.000Z",
            "2026-06-03T10:00:00.000Z",
        ];
        let rotation = Rotation {
            last: 2,
            days: 2,
            months: 2,
        };
        assert_eq!(
            kept(rotation, &made_at),
            [made_at[1], made_at[3], made_at[5], made_at[6]]
        );
        let none = Rotation {
            last: 0,
            days: 0,
            months: 0,
        };
        assert_eq!(kept(none, &made_at), [made_at[6]], "the newest stays");
        assert!(kept(none, &[]).is_empty());
    }

    #[test]
    fn a_winter_without_backups_takes_none_away() {
        let made_at = ["2025-09-30T08:00:00.000Z", "2027-04-01T08:00:00.000Z"];
        let rotation = Rotation {
            last: 1,
            ..Rotation::default()
        };
        assert_eq!(kept(rotation, &made_at), made_at);
    }

    #[test]
    fn three_years_of_a_backup_an_hour_leave_thirty_one_at_most() {
        let all: Vec<String> = (0..3 * 12 * 28 * 24)
            .map(|hour| {
                let (day, hour) = (hour / 24, hour % 24);
                let (month, day) = (day / 28, day % 28 + 1);
                let (year, month) = (2026 + month / 12, month % 12 + 1);
                format!("{year}-{month:02}-{day:02}T{hour:02}:00:00.000Z")
            })
            .collect();
        let all: Vec<&str> = all.iter().map(String::as_str).collect();
        let stay = kept(Rotation::default(), &all);
        // 5 of the last day, 13 more days, 11 more months; the last of a day is among the last 5.
        assert_eq!(stay.len(), 5 + 13 + 11);
        assert_eq!(stay.last(), all.last());
    }
}
