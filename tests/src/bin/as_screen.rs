//! A screen of the client in which something panics, for the test of what becomes of the terminal then. The first
//! word says where: `thread` is any other thread, `drawing` the one that draws; the rest goes to the client.

use std::process::ExitCode;
use std::time::Duration;

use remise::screens::terminal::Terminal;

fn main() -> ExitCode {
    let mut args = std::env::args_os();
    let name = args.next().into_iter();
    if args.next().is_some_and(|word| word == "thread") {
        std::thread::spawn(|| {
            // Long enough for the screen to be there; how long is not what is tested.
            std::thread::sleep(Duration::from_secs(2));
            panic!("planted");
        });
        let (mut out, mut err) = (std::io::stdout(), std::io::stderr());
        return ExitCode::from(remise::run(name.chain(args), &mut out, &mut err));
    }
    let mut terminal = Terminal::open().expect("there is a terminal");
    terminal.draw(|_| panic!("planted")).expect("it panics first");
    ExitCode::SUCCESS
}
