/**
 * The gain of every bin, the finer frames at a note's start, and the stage that applies them.
 *
 * <p>Findings (measured up to 2026-11-29, on the takes that {@link takewright.denoise} describes):
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
 *   <li><b>No bin above the highest that sounds is estimated.</b> It lies at two thirds of the
 *       spectrum in the mean over notes of violin, double bass and saxophone in a room at -62 dBFS;
 *       noise reduction takes 3 % less time, and 125 samples stay the same to the bit.
 *   <li><b>Held notes also use a mean of 9 frames each way</b> for half of the gain (below 94 Hz
 *       for all of it): shares of 0.68 to 0.70. Six frames gave 0.69, twelve nothing more. On short
 *       notes the same mean loses 0.02 to 0.09.
 *   <li><b>What stands well above the noise keeps its power.</b> The Wiener gain that knows the
 *       clean sound loses more than 0.3 dB in some octave that lies 10 dB above the room in 17 of
 *       48 takes, this estimator did in 24. Giving the missing power back, where it is less than
 *       half, leaves 19 and costs no share; in 5 of them the take itself has less than the clean
 *       sound, by chance. Where more was given back, rooms that move were raised as well.
 *   <li><b>Most losses that are left are losses of the Wiener gain too.</b> Of 25 takes chosen for
 *       losses below 350 Hz, the worst note of each octave that loses more than 0.3 dB was laid
 *       beside the Wiener gain that knows the clean sound (4096 samples): 42 octaves, of which that
 *       gain loses more than 0.3 dB in 37, and no less than this estimator in 24. In the octave at
 *       31 Hz these are 19 and 14 of 22; 17 of those lie 36 to 65 dB below the whole note. Of the
 *       five where it loses less than 0.3 dB, four are of takes in which a fan goes off: a double
 *       bass under which it does loses 0.7 dB at 31 Hz, 43 dB above the room. In a train a
 *       vibraphone loses 2.4 dB at 125 Hz and a violin 2.4 at 250 Hz, where that gain loses -0.5
 *       and 0.2. A note of 20 ms stays at the floor (24 dB). Giving back more than half of the
 *       missing power does not help: without that limit two of three takes come out the same to the
 *       bit, and a vibraphone in a train goes from a share of 0.24 to 0.22.
 *   <li><b>Short frames also give back what long ones lose of an attack below 1 kHz,</b> where it
 *       stands well above the noise. Four of five losses above 0.3 dB in an octave 10 dB above the
 *       room lie in the first 50 ms of a struck or short note: a thump, or the edge of the attack,
 *       which a long frame holds together with three times as much noise. In four takes: air
 *       conditioning and vibraphone 0.47 to 0.20 dB, 1.67 to 1.06 and 0.76 to 0.45 where the fan
 *       goes off, violin staccato in even noise 0.74 to 0.58. Where a room clatters, it must stand
 *       higher by half as many dB as the room does: in a train, vibraphone 2.4 to 1.4 dB at 125 Hz
 *       and a share of 0.24 to 0.35, violin 2.4 to 1.6 dB and 0.62 to 0.67, against all of them.
 *   <li><b>Where a note begins while another rings on, only what is lost is put back.</b> Long
 *       frames lose most there, and quiet does not tell where it begins; three thirds of an octave
 *       that rise together do. Losses of a vibraphone that rings: 0.56 to 0.32 dB and 0.93 to 0.62
 *       where a fan goes off, 1.65 to 0.92 and 1.81 to 1.71 in a train, shares there 0.17 to 0.31
 *       and 0.15 to 0.18 (1.09 to 1.04 in one take). One band that rises was enough for every other
 *       stroke of a bow, and let noise into a short violin beside a dishwasher (0.50 to 0.48).
 *   <li><b>What clatters before a note is not its attack, and after it not its end,</b> if it is
 *       over within 0.16 s, and 80 ms of quiet lie between, or 20 ms and the note stands 20 dB
 *       higher; both are looked for with the short frames. With 80 ms asked for always, clatters
 *       just before a vibraphone in a train were given back (kurtosis ratio 69, now 1.0), and those
 *       around a saxophone beside a dishwasher passed (7.0, now 1.0). Cutting at quiet alone,
 *       without a clatter behind it, took 0.04 dB of faint tails.
 *   <li><b>What lasts longer is no attack either where 80 ms of quiet follow it</b> before a long
 *       frame holds a note that is plain to see; and of all that clatters before a note the loudest
 *       counts, not the first. Kurtosis ratios fell from 33 to 1.0 (vibraphone in a train), 23 to
 *       1.0 (violin beside a dishwasher), 4.2 to 0.9 and 2.7 to 1.0. Of 174 takes 145 stay the same
 *       to the bit, and all in SDR and log-spectral distance to 0.01 dB.
 *   <li><b>What comes up after a note is no tail,</b> for a tail only falls: parts of eight bins in
 *       which it rises to four times the least it has been, or the noise, are closed until it is
 *       over. Short frames cannot tell a faint wheel or dish from the room, and the finds of the
 *       note and of the clatter meet in the long ones. Before another note only what falls again by
 *       as much is closed, for a note may swell. Kurtosis ratios fell from 228 to 1.0 (double bass
 *       beside a dishwasher), 52 to 2.0 and 34 to 1.2 (vibraphones in trains), 34 to 1.7 (saxophone
 *       in a train) and 17 to 1.0 (violin beside a dishwasher). In 29 other takes SDR and the
 *       log-spectral distance stay the same to 0.01 dB; one double bass loses 0.1 dB of SDR.
 *   <li><b>A clatter alone in a pause is no note,</b> if it is over within 0.16 s and never stands
 *       10 dB above what the room reaches; and in a pause so short that the long frames of both
 *       notes meet, the room stays at its floor where a tail is over, though something else still
 *       sounds. Kurtosis ratios of a saxophone and a violin in trains fell from 86 and 45 to 1.0
 *       and 1.1, of a vibraphone beside a dishwasher from 37 to 1.0 (the floor 24 dB down instead
 *       of 16). Looking for the end of a note further back than 0.35 s mends one take more (23 to
 *       4) and cuts reverberation: a marimba loses 0.3 dB of SDR (2026-11-30).
 *   <li><b>Nothing begins in a frame that the audio ends in.</b> The abrupt end is a click to a
 *       long frame; in 5 of 112 takes it let the last 20 ms of the room through, 7 to 18 dB above
 *       its floor (now in one, 1 dB above). Audio that goes on backwards, a copy of the last whole
 *       frame, or a frame faded out each left or made as many.
 *   <li><b>Frames of half the length after an attack</b> gain 0.03 to 0.09 on a struck vibraphone
 *       and lose 0.06 on a short violin, so they are not used.
 *   <li><b>What short notes lose at -62 dBFS</b> (double bass 0.56, violin 0.60) is mostly out of
 *       reach: a Wiener gain that knows every clean bin, but only the mean of the noise, reaches
 *       0.86, and an estimator told each bin's clean power, averaged over three frames, reaches
 *       0.67 on the double bass. Nor is the sound of few dimensions: optimal shrinkage of the
 *       singular values of narrow bands over a whole note leaves 81 % of the noise, where this
 *       estimator leaves 63. More overlap, a second pass, lower floors and silence before the note
 *       gained nothing. Gain tables fitted on two instruments and tried on a third removed 0 to 6 %
 *       of the error; a small network instead of Stein's risk did no better.
 *   <li><b>Other lengths of frames, mixed.</b> Below the lowest partial of short notes frames of
 *       1024, 2048 or 4096 samples lose 0.13, 0.08 and 0.03 of the share over 17 takes. The mean of
 *       the results of 8192 and 4096 samples loses 0.01 over 36 takes, that of 8192 and 16384 gains
 *       0.02, mostly on held notes beside a fan, whose tones are now subtracted. A Wiener filter
 *       over 7 frames of each bin below 1 kHz gains 0.006 on held notes.
 * </ul>
 */
package takewright.denoise.gain;
