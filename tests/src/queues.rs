//! Textbook formulas of plain queues: Erlang B and C, Pollaczek and Khinchine, Cobham. Time is counted in mean services
//! where nothing else is said. Textbooks: Gross and Harris; Kleinrock (pages from memory, not checked); A. Cobham 1954
//! for priorities. The published values in `reference/planning` are held against these functions in the tests.

/// Erlang B: share of customers lost when `servers` serve `offered` erlangs and nobody waits. By its recursion, which
/// stays between 0 and 1 however many servers there are.
pub fn erlang_b(servers: u32, offered: f64) -> f64 {
    (1..=servers).fold(1.0, |lost, server| offered * lost / (f64::from(server) + offered * lost))
}

/// Erlang C: share of customers who wait, with `offered` below `servers`.
pub fn erlang_c(servers: u32, offered: f64) -> f64 {
    let (lost, load) = (erlang_b(servers, offered), offered / f64::from(servers));
    lost / (1.0 - load * (1.0 - lost))
}

/// M/M/c: mean wait, in mean services.
pub fn mmc_wait(servers: u32, offered: f64) -> f64 {
    erlang_c(servers, offered) / (f64::from(servers) - offered)
}

/// M/M/c: share of customers who wait longer than `time` mean services.
pub fn mmc_waits_over(servers: u32, offered: f64, time: f64) -> f64 {
    erlang_c(servers, offered) * (-(f64::from(servers) - offered) * time).exp()
}

/// M/M/c: how likely nobody is there. From Erlang B: the chance of the last state, divided by its weight, in logarithms
/// so that many servers do no harm.
pub fn mmc_empty(servers: u32, offered: f64) -> f64 {
    let term = |count: u32| (1..=count).map(|k| (offered / f64::from(k)).ln()).sum::<f64>();
    let load = offered / f64::from(servers);
    let below: f64 = (0..servers).map(|count| term(count).exp()).sum();
    1.0 / (below + term(servers).exp() / (1.0 - load))
}

/// M/G/1: mean wait of Pollaczek and Khinchine, in mean services, for a service with that coefficient of variation.
pub fn mg1_wait(load: f64, cv: f64) -> f64 {
    load * (1.0 + cv * cv) / (2.0 * (1.0 - load))
}

/// A class of a priority queue: arrivals in a unit of time, mean and coefficient of variation of its service.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PriorityClass {
    /// Arrivals in a unit of time.
    pub rate: f64,
    /// Mean service.
    pub mean: f64,
    /// Coefficient of variation of the service.
    pub cv: f64,
}

/// One server, non-preemptive priorities, the first class first: mean wait of each class (Cobham 1954).
pub fn cobham_waits(classes: &[PriorityClass]) -> Vec<f64> {
    let second_moment = |class: &PriorityClass| class.mean * class.mean * (1.0 + class.cv * class.cv);
    let residual: f64 = classes.iter().map(|class| class.rate * second_moment(class)).sum::<f64>() / 2.0;
    let mut before = 0.0;
    let wait = |class: &PriorityClass| {
        let with = before + class.rate * class.mean;
        let wait = residual / ((1.0 - before) * (1.0 - with));
        before = with;
        wait
    };
    classes.iter().map(wait).collect()
}
