//! Which role may call which RPC: one table that names every RPC of every service. What a role may call, a station
//! may still be refused for another strip or bench: see [`super::check_scope`].

use super::Role;

const S: u8 = 1;
const C: u8 = 2;
const B: u8 = 4;
const H: u8 = 8;
const O: u8 = 16;
const ALL: u8 = S | C | B | H | O;

/// One RPC with its roles.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// `Service/Rpc`.
    pub rpc: &'static str,
    roles: u8,
    /// It answers with a stream and has no deadline of its own.
    pub watch: bool,
}

impl Row {
    /// Whether that role may call it.
    pub fn admits(&self, role: Role) -> bool {
        self.roles & bit(role) != 0
    }
}

const fn bit(role: Role) -> u8 {
    match role {
        Role::Strip => S,
        Role::Counter => C,
        Role::Bench => B,
        Role::Head => H,
        Role::Observer => O,
    }
}

const fn one(rpc: &'static str, roles: u8) -> Row {
    Row { rpc, roles, watch: false }
}

const fn watch(rpc: &'static str, roles: u8) -> Row {
    Row { rpc, roles, watch: true }
}

/// Every RPC of every service.
pub const RPCS: &[Row] = &[
    one("StripDesk/HandIn", S | C | B | H),
    one("StripDesk/ScanIn", C | B | H),
    one("StripDesk/Claim", S | C | H),
    one("StripDesk/FencerOut", S | C | H),
    one("StripDesk/FencerIn", S | C | H),
    one("StripDesk/Lend", S | C | H),
    one("StripDesk/LoanBack", S | C | H),
    one("StripDesk/CallOut", S | C | B | H),
    one("StripDesk/ConfirmNotice", S | C | H),
    one("StripDesk/HandBack", S | C | H),
    one("StripDesk/BackTo", S | C | H),
    one("StripDesk/WantBy", S | C | H),
    one("StripDesk/SetNeed", S | C | H),
    one("StripDesk/CallOff", S | C | H),
    one("StripDesk/Missing", C | B | H),
    one("StripDesk/FoundAgain", C | B | H),
    one("StripDesk/CollectedUnseen", C | H),
    one("StripDesk/Confiscate", S | C | B | H),
    one("StripDesk/Count", C | B | H),
    one("StripDesk/StripBoard", S | C | H),
    watch("StripDesk/WatchStrip", S | C | H),
    one("StripDesk/FindJobs", S | C | B | H),
    one("StripDesk/JobCourse", S | C | B | H),
    one("BenchDesk/Take", B | H),
    one("BenchDesk/PutBack", B | H),
    one("BenchDesk/PassOn", B | H),
    one("BenchDesk/Interrupt", B | H),
    one("BenchDesk/Resume", B | H),
    one("BenchDesk/GoAway", B | H),
    one("BenchDesk/ComeBack", B | H),
    one("BenchDesk/ReachStrip", B | H),
    one("BenchDesk/RunAgain", B | H),
    one("BenchDesk/Find", B | H),
    one("BenchDesk/See", B | H),
    one("BenchDesk/Repair", B | H),
    one("BenchDesk/Cure", B | H),
    one("BenchDesk/DryNow", B | H),
    one("BenchDesk/NoFaultFound", B | H),
    one("BenchDesk/FaultElsewhere", B | H),
    one("BenchDesk/Prove", B | H),
    one("BenchDesk/Ready", B | H),
    one("BenchDesk/Withdraw", B | H),
    one("BenchDesk/Hold", B | C | H),
    one("BenchDesk/Release", B | C | H),
    one("BenchDesk/EndOwed", B | C | H),
    one("BenchDesk/Correct", B | C | H),
    one("BenchDesk/ExchangeTags", B | C | H),
    one("BenchDesk/BenchBoard", B | H),
    watch("BenchDesk/WatchBench", B | H),
    one("HeadDesk/TakeOver", H),
    one("HeadDesk/ReadyAnyway", H),
    one("HeadDesk/ReleaseConfiscated", H),
    one("HeadDesk/Pin", H),
    one("HeadDesk/Redirect", H),
    one("HeadDesk/OpenBench", H),
    one("HeadDesk/CloseBench", H),
    one("HeadDesk/CloseBenchAt", H),
    one("HeadDesk/CloseDay", H),
    one("HeadDesk/Room", C | H | O),
    watch("HeadDesk/WatchRoom", C | H | O),
    watch("HeadDesk/WatchPlan", C | B | H | O),
    one("HeadDesk/NightList", C | H),
    one("HeadDesk/WhatIf", H),
    one("Journal/Hello", ALL),
    one("Journal/GetVenue", ALL),
    one("Journal/Head", ALL),
    one("Journal/Read", C | B | H | O),
    watch("Journal/Watch", C | B | H | O),
    one("Journal/Verify", H),
];

/// The row of an RPC, named `Service/Rpc`.
pub fn row(rpc: &str) -> Option<&'static Row> {
    RPCS.iter().find(|row| row.rpc == rpc)
}

/// Whether that role may call that RPC, named `Service/Rpc`. What the table does not name, nobody may.
pub fn may(role: Role, rpc: &str) -> bool {
    row(rpc).is_some_and(|row| row.admits(role))
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use std::collections::BTreeMap;

    use prost::Message as _;
    use prost_types::FileDescriptorSet;

    use super::*;

    /// Every RPC of the .proto files, and whether it answers with a stream.
    fn declared() -> BTreeMap<String, bool> {
        let set = FileDescriptorSet::decode(remise_proto::FILE_DESCRIPTOR_SET).unwrap();
        let mut rpcs = BTreeMap::new();
        for service in set.file.iter().flat_map(|file| &file.service) {
            for method in &service.method {
                let name = format!("{}/{}", service.name(), method.name());
                assert!(rpcs.insert(name, method.server_streaming()).is_none());
                assert!(!method.client_streaming());
            }
        }
        rpcs
    }

    #[test]
    fn the_table_names_every_rpc_and_no_other() {
        let table: BTreeMap<String, bool> = RPCS.iter().map(|row| (row.rpc.to_owned(), row.watch)).collect();
        assert_eq!(table.len(), RPCS.len(), "an RPC is named twice");
        assert_eq!(table, declared());
    }

    #[test]
    fn every_rpc_admits_the_head_and_observers_change_nothing() {
        for row in RPCS {
            assert!(row.admits(Role::Head), "{}", row.rpc);
        }
        let seen: Vec<_> = RPCS.iter().filter(|row| row.admits(Role::Observer)).map(|row| row.rpc).collect();
        assert_eq!(
            seen,
            [
                "HeadDesk/Room",
                "HeadDesk/WatchRoom",
                "HeadDesk/WatchPlan",
                "Journal/Hello",
                "Journal/GetVenue",
                "Journal/Head",
                "Journal/Read",
                "Journal/Watch",
            ]
        );
    }

    #[test]
    fn only_the_head_lets_an_unproven_item_go() {
        for role in Role::ALL {
            assert_eq!(may(role, "HeadDesk/ReadyAnyway"), role == Role::Head);
            assert!(!may(role, "HeadDesk/SayPromises"));
        }
    }
}
