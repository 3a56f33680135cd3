//! What the program says when it can't go on: message, hint, exit code.

/// Exit code for a fault of this program.
pub const OURS: u8 = 70;

/// Why the program stops.
#[derive(Debug)]
pub enum Trouble {
    /// Something in the person's data or surroundings; exit code 1.
    Yours {
        /// What is wrong.
        message: String,
        /// How to mend it; empty when the message says so.
        hint: String,
    },
    /// The findings are printed already; exit code 1.
    Printed,
    /// A wrong value on the command line; exit code 2.
    CommandLine {
        /// What is wrong.
        message: String,
        /// How to mend it.
        hint: String,
    },
}

impl Trouble {
    /// Something in the person's data or surroundings.
    pub fn yours(message: impl ToString, hint: impl ToString) -> Trouble {
        Trouble::Yours {
            message: message.to_string(),
            hint: hint.to_string(),
        }
    }

    /// Prints message and hint to standard error.
    pub fn print(&self) {
        match self {
            Trouble::Printed => {}
            Trouble::Yours { message, hint } | Trouble::CommandLine { message, hint } => {
                eprintln!("error: {message}");
                if !hint.is_empty() {
                    eprintln!("\nhint: {hint}");
                }
            }
        }
    }

    /// The exit code.
    pub fn exit_code(&self) -> u8 {
        match self {
            Trouble::Yours { .. } | Trouble::Printed => 1,
            Trouble::CommandLine { .. } => 2,
        }
    }
}
