//! Choosing by number: what is typed for which option, and when a digit is enough.

use super::field::{Choice, Choose, Moved, Value};

/// So many options are chosen by one digit.
const SHORT: usize = 9;

impl Choice {
    /// What is typed to choose an option. Of a longer list the tenth is `01` and the nineteenth `001`, so that the first
    /// nine, which are the commonest, need one key and no Enter. Benches and places are counted on, since people know
    /// them by their numbers.
    pub fn number(&self, at: usize) -> String {
        if self.has_zeros() {
            format!("{}{}", "0".repeat(at / SHORT), at % SHORT + 1)
        } else {
            (at + 1).to_string()
        }
    }

    fn has_zeros(&self) -> bool {
        let known =
            |option: &Choose| matches!(option.value, Value::Bench(_) | Value::Place(_) | Value::Strip(_));
        self.options.len() > SHORT && !self.options.iter().any(known)
    }

    /// A digit. The choice is done as soon as no further digit could lead to another option.
    pub fn put(&mut self, c: char) -> Moved {
        if !c.is_ascii_digit() {
            return Moved::Stays;
        }
        if self.has_zeros() {
            return self.put_short(c);
        }
        let fits = |typed: &str| typed.parse::<usize>().ok().filter(|n| (1..=self.options.len()).contains(n));
        let longer = format!("{}{c}", self.typed);
        let (typed, number) = match fits(&longer) {
            Some(number) => (longer, number),
            None => match fits(&c.to_string()) {
                Some(number) => (c.to_string(), number),
                None => return Moved::Stays,
            },
        };
        self.chosen = Some(number - 1);
        self.typed = typed;
        if number * 10 > self.options.len() {
            self.typed.clear();
            return Moved::Done;
        }
        Moved::Stays
    }

    fn put_short(&mut self, c: char) -> Moved {
        let passed = SHORT * (self.typed.len() + 1);
        if c == '0' {
            self.typed = if passed < self.options.len() { format!("{}0", self.typed) } else { String::new() };
            return Moved::Stays;
        }
        let at = passed - SHORT + (c as usize - '1' as usize);
        self.typed.clear();
        if at >= self.options.len() {
            return Moved::Stays;
        }
        self.chosen = Some(at);
        Moved::Done
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn choice(options: usize) -> Choice {
        let option = |n: usize| Choose { label: n.to_string(), value: Value::Nothing };
        Choice { options: (1..=options).map(option).collect(), ..Choice::default() }
    }

    /// Options, keys, the chosen option's number, and whether the last key ended the choice.
    #[test]
    fn a_number_ends_the_choice_when_no_longer_one_could_be_meant() {
        for (options, keys, number, done) in [
            (5, "3", Some(3), true),
            (5, "7", None, false),
            (5, "x", None, false),
            (5, "73", Some(3), true),
            (16, "4", Some(4), true),
            (16, "1", Some(1), true),
            (16, "01", Some(10), true),
            (16, "07", Some(16), true),
            (16, "08", None, false),
            (16, "0", None, false),
            (18, "09", Some(18), true),
            (24, "1", Some(1), true),
            (24, "01", Some(10), true),
            (24, "001", Some(19), true),
            (24, "006", Some(24), true),
            (24, "007", None, false),
            (24, "0001", Some(1), true),
        ] {
            let mut choice = choice(options);
            let moved = keys.chars().map(|c| choice.put(c)).last();
            assert_eq!(choice.chosen.map(|at| at + 1), number, "{keys} of {options}");
            assert_eq!(moved == Some(Moved::Done), done, "{keys} of {options}");
            if let (Some(at), true) = (choice.chosen, options != 5) {
                let mut again = self::choice(options);
                for c in choice.number(at).chars() {
                    again.put(c);
                }
                assert_eq!(again.chosen, Some(at), "what is shown beside it chooses it");
            }
        }
    }

    /// Bench 12 is chosen by 12, so bench 1 waits for Enter.
    #[test]
    fn benches_are_chosen_by_their_own_numbers() {
        let of = |keys: &str| {
            let mut choice = choice(12);
            for (option, number) in choice.options.iter_mut().zip(1..) {
                option.value = Value::Bench(remise_core::ids::BenchId(number));
            }
            let moved = keys.chars().map(|c| choice.put(c)).last();
            (choice.chosen.map(|at| choice.number(at)), moved)
        };
        assert_eq!(of("12"), (Some("12".to_owned()), Some(Moved::Done)));
        assert_eq!(of("1"), (Some("1".to_owned()), Some(Moved::Stays)));
        assert_eq!(of("4"), (Some("4".to_owned()), Some(Moved::Done)));
    }
}
