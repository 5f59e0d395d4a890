//! The things that can be done from a screen, each with its key, its word for the foot line and its sentence for
//! the help. A thing has the same key on every screen that offers it.

macro_rules! verbs {
    ($($name:ident = $key:literal, $label:literal, $help:literal;)*) => {
        /// Something that can be done.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
        pub enum Verb { $(#[doc = $help] $name,)* }

        impl Verb {
            /// Every verb.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];

            /// Its key.
            pub fn key(self) -> char {
                match self { $(Self::$name => $key,)* }
            }

            /// Its word for the foot line.
            pub fn label(self) -> &'static str {
                match self { $(Self::$name => $label,)* }
            }

            /// Its sentence for the help.
            pub fn help(self) -> &'static str {
                match self { $(Self::$name => $help,)* }
            }
        }
    };
}

verbs! {
    HandIn = 'i', "hand in", "Hand in one item or several";
    CallOut = 'c', "call-out", "The strip stands still: somebody must come";
    FencerOut = 'o', "fencer out", "A fencer is out of the competition";
    FencerIn = 'O', "fencer in", "A fencer was said to be out by mistake";
    Lend = 'l', "loan", "Something was lent to a fencer";
    LoanBack = 'L', "loan back", "A loan came back";
    Confirm = 'y', "confirm", "Confirm that the notice was read";
    Search = '/', "find", "Find a tag, a fencer or a strip";
    Count = '#', "count", "Count what lies at one place, tag by tag";
    ScanIn = 's', "scan in", "The item is in the room; tie its tag to it";
    HandBack = 'b', "hand back", "Hand it back to a person, by name";
    BackTo = 'g', "goes back to", "It goes back to another place";
    WantBy = 'w', "wanted by", "It is wanted sooner, later, or at no time";
    Need = 'n', "need", "What the fencer still has working of that kind";
    CallOff = 'x', "call off", "Nobody wants it mended any more";
    Missing = 'm', "missing", "The item cannot be found";
    FoundAgain = 'f', "found again", "The missing item was found";
    CollectedUnseen = 'u', "collected unseen", "It was collected and nobody saw it";
    Claim = 'j', "whose", "Somebody says whose it is";
    Confiscate = 'k', "confiscate", "A referee takes it as evidence";
    Hold = 'h', "hold", "Stop work on it for a reason";
    Release = 'e', "release", "Let work go on";
    Pin = 'p', "keep for", "Keep it for one bench";
    TakeOver = 't', "take over", "Take it from a bench that left it lying";
    ReadyAnyway = 'a', "ready anyway", "Let it go without a complete proof";
    Correct = 'C', "correct", "Put right what was recorded by mistake";
    Course = 'v', "course", "What has happened to it, in sentences";
    Exchange = 'T', "swap tags", "Two tags are on each other's items";
    OpenBench = 'O', "open bench", "Open the bench outside its hours";
    CloseBench = 'S', "shut bench", "Close the bench";
    Redirect = 'r', "send other", "Send somebody else to the strip";
    EndOwed = 'E', "end owed", "What was owed is done, or not wanted";
    Night = 'N', "night list", "What is still here, missing or owed tonight";
    CloseDay = 'D', "close day", "Close the day, when all is counted";
    Take = 't', "take", "Take the job that is shown";
    NextCheck = 'n', "next check", "The check that finds the cause soonest, and its answers";
    Repair = 'r', "repair", "Record a repair";
    Cure = 'z', "lay to dry", "Lay it on the curing shelf";
    DryNow = 'D', "dry now", "It is dry before its time; you have looked";
    NoFault = 'f', "no fault", "The whole examination found nothing wrong";
    Elsewhere = 'E', "elsewhere", "The fault lies in something else";
    Prove = 'p', "prove", "The checks of the proof, one by one";
    Ready = 'd', "done: ready", "The item is ready to go back";
    Withdraw = 'w', "withdraw", "Not fit for use: it is never given back to fence with";
    PutBack = 'b', "put back", "Put it back among the waiting";
    PassOn = 'a', "pass on", "Pass it on to another bench";
    GoAway = 'A', "away", "The bench is unattended for a while";
    ComeBack = 'B', "back again", "You are at the bench again";
    Interrupt = 's', "stop clock", "You are called away from the job in hand";
    Resume = 's', "go on", "Go on with the job in hand";
    Lane = 'l', "lane", "What comes next at this bench, and what dries";
    Cautions = 'u', "cautions", "All cautions for this job";
    Reached = 'g', "at the strip", "You have reached the strip that called";
    Running = 'g', "runs again", "The strip runs again";
}

impl Verb {
    /// Whether the foot line leaves it out when space is short: it stays in the help.
    pub fn is_rare(self) -> bool {
        matches!(
            self,
            Self::FencerIn
                | Self::LoanBack
                | Self::Confiscate
                | Self::Correct
                | Self::Exchange
                | Self::CollectedUnseen
                | Self::Claim
        )
    }
}
