//! Shows of a given number of input rows over as many desks and boxes as they need: what the benchmarks
//! measure. The same number gives the same text. Every show checks clean.

use std::fmt::Write;

/// Input rows of one desk: two boxes of sixteen.
pub const A_DESK: usize = 32;

/// A show with this many input rows: for every 32 a desk, two boxes in a chain, wedges and a loudspeaker.
pub fn show(rows: usize) -> String {
    let mut text =
        String::from("fantail 1\nshow \"Long Evening\" at \"Yard\" on 2026-07-04\nrate 48 kHz\nclock desk-1\n");
    let desks = rows.div_ceil(A_DESK);
    for desk in 1..=desks {
        let inputs = A_DESK.min(rows - (desk - 1) * A_DESK);
        one_desk(&mut text, desk, inputs);
    }
    text
}

fn one_desk(text: &mut String, desk: usize, inputs: usize) {
    let boxes = inputs.div_ceil(16);
    let mut line = |parts: std::fmt::Arguments| {
        let _ = text.write_fmt(parts);
        text.push('\n');
    };
    line(format_args!("\n# desk {desk}"));
    line(format_args!("desk desk-{desk} is desk-40-eights"));
    line(format_args!("box left-{desk} is box-16x8 on desk-{desk}.portA offset 1 cable 60 m screened locking"));
    if boxes > 1 {
        line(format_args!("box right-{desk} is box-16x8 on left-{desk}.thru offset 9 cable 15 m screened locking"));
    }
    line(format_args!("inputs desk-{desk} {{"));
    for channel in 1..=inputs {
        let (side, socket) = if channel > 16 { ("right", channel - 16) } else { ("left", channel) };
        let kind = ["dynamic", "condenser", "di-active", "ribbon"][channel % 4];
        let phantom = if matches!(kind, "condenser" | "di-active") { "phantom" } else { "" };
        line(format_args!(
            "  {channel:<3} source-{desk}-{channel:<3} {kind:<10} from {side}-{desk} {socket:<3} {phantom:<8} gain 24 dB  \
             stand tall  \"Source {channel} of {desk}\""
        ));
    }
    line(format_args!("}}"));
    line(format_args!("outputs desk-{desk} {{"));
    line(format_args!("  main 1-2  to left-{desk} 7-8  pa     \"PA left\", \"PA right\""));
    for mix in 1..=4 {
        line(format_args!("  mix {mix}     to left-{desk} {mix}    wedge  \"Wedge {mix}\"  of source-{desk}-1"));
    }
    line(format_args!("}}"));
}
