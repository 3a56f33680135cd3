//! The code that lets one phone in: six digits, once, for ten minutes.
//!
//! In: who it is for, the time, what was typed. Out: that person, or why not. After [`TRIES`] wrong
//! codes it is void, so that one code is guessed with a chance of 5 in a million.

use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

/// Digits of a code.
pub const DIGITS: usize = 6;

/// Wrong codes after which the waiting one is void.
pub const TRIES: u8 = 5;

/// How long a code waits.
pub const WAITS: Duration = Duration::from_secs(600);

/// For whom a code is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Guest {
    /// The scout's name.
    pub scout: String,
    /// Whether the phone may work at the Desk.
    pub desk: bool,
}

/// Why a code does not let in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Refused {
    /// Nobody at the laptop has asked for one, or it was used.
    #[error(
        "No code is waiting. At the laptop, open Phones and press \u{201c}Make a code\u{201d}; a code works once."
    )]
    NoneWaiting,
    /// It waited too long.
    #[error("This code has waited longer than ten minutes. Make a new one at the laptop.")]
    TooLate,
    /// It is another one.
    #[error("That is not the code on the laptop's screen. Tries left: {left}.")]
    Wrong {
        /// Tries left.
        left: u8,
    },
    /// Too many were wrong.
    #[error("Too many wrong codes; this one is void now. Make a new one at the laptop.")]
    Void,
}

#[derive(Debug)]
struct Offer {
    code: String,
    guest: Guest,
    made: Instant,
    wrong: u8,
}

/// The code that waits, if one does.
#[derive(Debug, Default)]
pub struct Waiting(Mutex<Option<Offer>>);

impl Waiting {
    /// Makes a code; one that waited before is void. An error where the system gives no random
    /// numbers.
    pub fn offer(&self, guest: Guest, now: Instant) -> Result<String, getrandom::Error> {
        let code = six_digits()?;
        *self.lock() = Some(Offer {
            code: code.clone(),
            guest,
            made: now,
            wrong: 0,
        });
        Ok(code)
    }

    /// Takes what was typed; spaces and dashes don't count.
    pub fn take(&self, typed: &str, now: Instant) -> Result<Guest, Refused> {
        let typed: String = typed
            .chars()
            .filter(|c| !c.is_whitespace() && *c != '-')
            .collect();
        let mut place = self.lock();
        let Some(offer) = place.as_mut() else {
            return Err(Refused::NoneWaiting);
        };
        if now.saturating_duration_since(offer.made) > WAITS {
            *place = None;
            return Err(Refused::TooLate);
        }
        if offer.code != typed {
            offer.wrong += 1;
            let left = TRIES.saturating_sub(offer.wrong);
            if left == 0 {
                *place = None;
                return Err(Refused::Void);
            }
            return Err(Refused::Wrong { left });
        }
        let guest = offer.guest.clone();
        *place = None;
        Ok(guest)
    }

    /// For whom a code waits, if one does.
    pub fn guest(&self, now: Instant) -> Option<(String, Guest)> {
        let place = self.lock();
        let offer = place.as_ref()?;
        let fresh = now.saturating_duration_since(offer.made) <= WAITS;
        fresh.then(|| (offer.code.clone(), offer.guest.clone()))
    }

    /// A panic elsewhere leaves the code as it was: no half-written state is possible.
    fn lock(&self) -> MutexGuard<'_, Option<Offer>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Every number of six digits is equally likely.
fn six_digits() -> Result<String, getrandom::Error> {
    // What is left over at the top would favour small numbers.
    const MOST: u32 = u32::MAX - u32::MAX % 1_000_000;
    loop {
        let number = getrandom::u32()?;
        if number < MOST {
            return Ok(format!("{:0DIGITS$}", number % 1_000_000));
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    fn ana() -> Guest {
        Guest {
            scout: "A. Fenn".to_owned(),
            desk: false,
        }
    }

    #[test]
    fn a_code_works_once() {
        let (waiting, now) = (Waiting::default(), Instant::now());
        assert_eq!(waiting.take("123456", now), Err(Refused::NoneWaiting));
        let code = waiting.offer(ana(), now).unwrap();
        assert_eq!(code.len(), DIGITS);
        let spaced = format!(" {}-{} ", &code[..3], &code[3..]);
        assert_eq!(waiting.take(&spaced, now), Ok(ana()));
        assert_eq!(waiting.take(&code, now), Err(Refused::NoneWaiting));
    }

    #[test]
    fn five_wrong_ones_void_it() {
        let (waiting, now) = (Waiting::default(), Instant::now());
        let code = waiting.offer(ana(), now).unwrap();
        for left in (1..TRIES).rev() {
            assert_eq!(waiting.take("x", now), Err(Refused::Wrong { left }));
        }
        assert_eq!(waiting.take("x", now), Err(Refused::Void));
        assert_eq!(waiting.take(&code, now), Err(Refused::NoneWaiting));
    }

    #[test]
    fn it_does_not_wait_for_ever() {
        let (waiting, now) = (Waiting::default(), Instant::now());
        let code = waiting.offer(ana(), now).unwrap();
        let late = now + WAITS + Duration::from_secs(1);
        assert_eq!(waiting.guest(late), None);
        assert_eq!(waiting.take(&code, late), Err(Refused::TooLate));
        assert_eq!(waiting.take(&code, now), Err(Refused::NoneWaiting));
    }

    #[test]
    fn a_new_one_voids_the_one_before() {
        let (waiting, now) = (Waiting::default(), Instant::now());
        let mut codes = vec![waiting.offer(ana(), now).unwrap()];
        // Two may be equal by chance.
        while codes.len() < 3 {
            let code = waiting.offer(ana(), now).unwrap();
            if !codes.contains(&code) {
                codes.push(code);
            }
        }
        assert!(waiting.take(&codes[0], now).is_err());
        assert_eq!(waiting.take(&codes[2], now), Ok(ana()));
    }
}
