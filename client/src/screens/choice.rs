//! Choosing by number: what is typed for which option, and when a digit is enough.

use super::field::{Choice, Moved};

/// Up to so many options are chosen by one digit.
const SHORT: usize = 9;

impl Choice {
    /// What is typed to choose an option. Where nine are not enough but eighteen are, the tenth is `01`: so the first
    /// nine, which are the commonest, still need one key and no Enter.
    pub fn number(&self, at: usize) -> String {
        if at >= SHORT && self.has_zeros() { format!("0{}", at + 1 - SHORT) } else { (at + 1).to_string() }
    }

    fn has_zeros(&self) -> bool {
        (SHORT + 1..=2 * SHORT).contains(&self.options.len())
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
        if c == '0' {
            self.typed = c.to_string();
            return Moved::Stays;
        }
        let first = if std::mem::take(&mut self.typed).is_empty() { 0 } else { SHORT };
        let at = first + (c as usize - '1' as usize);
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
    use crate::screens::field::{Choose, Value};

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
            (24, "4", Some(4), true),
            (24, "1", Some(1), false),
            (24, "12", Some(12), true),
            (24, "29", Some(9), true),
            (24, "0", None, false),
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
}
