//! The scores that the house starts a tournament with, before any promise of its own has an outcome.

/// Scores in thousandths of the raw width, in an order in which every stretch of them is spread evenly (steps of the
/// golden ratio through their ranks), so that taking the newest away leaves no bias.
///
/// These are the quantiles (i + 1/2) / 100 of a normal distribution whose median is 0 and whose 90 % point is 1000: the
/// model's own scores, if it is right.
pub(super) const START: [i64; 100] = [
    -2010, 249, -539, 826, -49, -1023, 443, -333, 1247, 128, -700, 671, -148, -1323, 333, -443, 978, 29,
    -861, 539, -249, 1693, 208, -589, 760, -88, -1123, 398, -376, 1123, 88, -760, 616, -188, -1529, 290,
    -490, 898, -10, -937, 490, -290, 1414, 168, -643, 700, -128, -1247, 354, -420, 1023, 49, -826, 564, -228,
    2010, 228, -564, 792, -69, -1071, 420, -354, 1181, 108, -729, 643, -168, -1414, 311, -466, 937, 10, -898,
    514, -269, 1529, 188, -616, 729, -108, -1181, 376, -398, 1071, 69, -792, 589, -208, -1693, 269, -514,
    861, -29, -978, 466, -311, 1323, 148, -671,
];
