/**
 * Takes the noise of the room out of a take: rumble, hum, clicks and the steady noise, each by a
 * stage of its own, while the notes, the bow and the breath stay.
 *
 * <p>Findings that shaped it (measured up to 2026-11-27 on takes made from recordings of violin,
 * double bass and saxophone in room tone of -72 to -40 dBFS; "share" is the part of the gain in SDR
 * that a Wiener filter reaches which knows the clean recording):
 *
 * <ul>
 *   <li><b>The gain estimator.</b> The decision-directed log-spectral amplitude estimator reaches a
 *       share of 0.47 and does worse than nothing on a violin's staccato. Averaging neighbouring
 *       bins and frames before a Wiener gain reaches 0.68; choosing among averages bin by bin by
 *       Stein's unbiased risk, 0.74. The present estimator sums a bin over half a second, shares
 *       that out among its frames as the bins around it rise and fall, and mixes the result with an
 *       average over one frame by the risk over 130 bins. Over 24 takes at -62 and -50 dBFS it
 *       gains another 0.015 on average, 0.07 on short notes of a double bass.
 *   <li><b>The gain leaves the floor only where an average stands out of the noise,</b> and the
 *       long average must stand out on both sides. Without that the residual noise beside notes
 *       chirps.
 *   <li><b>Held notes also use a mean of 9 frames each way</b> for half of the gain (below 94 Hz
 *       for all of it): shares of 0.68 to 0.70. Six frames gave 0.69, twelve nothing more. On short
 *       notes the same mean loses 0.02 to 0.09.
 *   <li><b>The lowest and the highest bin are real,</b> so their noise is estimated as such.
 *       Treated as complex bins their noise was 20 % too low and room tone thumped below 94 Hz.
 *   <li><b>A detection reaches one frame each way.</b> Two frames left ragged ends behind short
 *       notes (kurtosis ratio 1.06 to 1.10 instead of 1.00).
 *   <li><b>Frames of 8192 samples.</b> 4096 gains 0.15 on hits and loses 0.1 to 0.15 on sustained
 *       notes; 16384 does the opposite. Even the better of five lengths, chosen every 46 ms and 1.5
 *       kHz with the clean sound in hand, reaches 0.62 to 0.63 on short notes at -62 dBFS.
 *   <li><b>A third of a window between frames</b> instead of a quarter costs 0.003 of the share and
 *       saves a quarter of the transforms.
 *   <li><b>What short notes lose at -62 dBFS</b> (double bass 0.56, violin 0.60) is mostly out of
 *       reach: a Wiener gain that knows every clean bin, but only the mean of the noise, reaches
 *       0.86, and an estimator told each bin's clean power, averaged over three frames, reaches
 *       0.67 on the double bass. More overlap, a second pass, lower floors and silence before the
 *       note gained nothing. Gain tables fitted on two instruments and tried on a third removed 0
 *       to 6 % of the error; a small network instead of Stein's risk did no better.
 *   <li><b>Hum is followed line by line over seconds and subtracted;</b> frames in which a partial
 *       holds the line are left out. With hum of -50 dBFS in a room of -62 dBFS this gains 13 to 15
 *       dB inside notes, where the gain estimator alone gains 1 to 12; long bass notes on the lines
 *       gain 8. A line must be steady over four fifths of the room tone and must not die away
 *       within a second, else ringing bass notes and tails between digital silence pass for hum.
 *   <li><b>A click must stand alone for 80 ms each way.</b> The prediction error alone finds every
 *       bow stroke. None is found in 62 recordings and 34 takes without clicks; a faint click
 *       inside a bright note stays. Repairs with a model of order 256 are 29 to 44 dB below the
 *       note; order 32, which spans less than a period, left 8 to 44 dB.
 *   <li><b>A line counts as hum only if four fifths of its power keep their phase for a second.</b>
 *       The tone of a fan was taken for hum before: it was taken out of the profile, but cannot be
 *       subtracted, and so it passed for sound everywhere (the floor fell by 4 to 6 dB, now 24).
 *   <li><b>Pauses are found by how smooth a frame's spectrum is,</b> not by how quiet it is: a room
 *       may move by many dB, but only notes are rough. Tails are told band by band, since one
 *       partial of a double bass hardly shows in the whole spectrum; tails in the profile cost a
 *       double bass a share of 0.3.
 *   <li><b>The level of a room is a random walk between pauses, smoothed per band.</b> A leap of
 *       all bands together is kept apart: its place under a note is found from the tenth of the
 *       bands that a note disturbs least. With each band on its own, notes under which a fan went
 *       off lost up to 4.7 dB of SDR; together, 0.5 dB.
 *   <li><b>Within what the walk allows, the level is followed from frame to frame</b> by what lies
 *       between the partials. Believing up to 2, 1.5 or 1 standard deviations inside notes moves
 *       the share by 0.02 to 0.1 either way, depending on the take; 1.5 is the compromise.
 *   <li><b>Thresholds are raised by what the take's own pauses show,</b> per band and per kind of
 *       average. With thresholds for Gaussian noise the floor fell by 0.5 to 8 dB in recorded rooms
 *       (air conditioning, a machine next door, a train); now by 21 to 24 dB in 97 of 100 takes.
 *   <li><b>Faint sounds need a note beside them:</b> a find counts only if a note is plain to see
 *       before the spectrum is quiet again, or within half a second. Without that, single clatters
 *       pass in half of the moving rooms and the kurtosis ratio is 30 to 100. With it, the ratio is
 *       1 to 2 in most takes; 5 to 41 remain in 12 of 29 takes beside a dishwasher or in a train,
 *       whose loudest clatters are as plain as short notes.
 * </ul>
 *
 * <p>What is assumed: the colour of a room is constant within a third of an octave; its level
 * between pauses is a random walk or one leap; a room is smooth over frequency, so that music or
 * voices next door are no room; and there is a pause at least every 20 s. Short notes near the room
 * (100 ms, and an octave 10 to 15 dB above it) lose up to 2 dB in that octave.
 */
package takewright.denoise;
