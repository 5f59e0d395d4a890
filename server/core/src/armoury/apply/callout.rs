//! Call-outs: who was sent to which strip.

use std::sync::Arc;

use crate::ids::{BenchId, CallId, Seq};
use crate::time::Stamp;

use super::super::event::CalledOut;
use super::super::state::{Armoury, CallOut, CallState};

impl Armoury {
    pub(super) fn call_out(&mut self, seq: Seq, when: Stamp, e: &CalledOut) {
        let id = CallId(seq.0);
        let call = CallOut {
            id,
            strip: e.strip,
            note: e.note,
            bench: e.bench,
            arrival: e.arrival,
            called: when,
            state: CallState::Called,
        };
        self.calls.insert(id, Arc::new(call));
        self.bench_mut(e.bench, |bench| bench.call = Some(id));
    }

    pub(super) fn redirect(&mut self, call: CallId, bench: BenchId, arrival: Stamp) {
        if let Some(old) = self.calls.get(&call).map(|call| call.bench) {
            self.bench_mut(old, |state| state.call = None);
        }
        self.bench_mut(bench, |state| state.call = Some(call));
        self.call(call, |call| {
            call.bench = bench;
            call.arrival = arrival;
            call.state = CallState::Called;
        });
    }

    pub(super) fn run_again(&mut self, call: CallId) {
        if let Some(call) = self.calls.remove(&call) {
            self.bench_mut(call.bench, |bench| bench.call = None);
        }
    }

    pub(super) fn call(&mut self, id: CallId, change: impl FnOnce(&mut CallOut)) {
        if let Some(call) = self.calls.get_mut(&id) {
            change(Arc::make_mut(call));
        }
    }
}
