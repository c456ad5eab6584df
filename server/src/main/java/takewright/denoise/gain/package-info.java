/**
 * The gain of every bin, the finer frames at a note's start, and the stage that applies them.
 *
 * <p>Decisions, with the figures that decided (up to 2026-11-30, on the takes that {@link
 * takewright.denoise} describes, and what a share is):
 *
 * <ul>
 *   <li><b>The gain estimator</b> sums a bin over half a second, shares that out among its frames
 *       as the bins around it rise and fall, and mixes the result with an average over one frame by
 *       Stein's unbiased risk over 130 bins. The decision-directed log-spectral amplitude estimator
 *       reaches a share of 0.47, a Wiener gain on averages of neighbours 0.68, averages chosen bin
 *       by bin 0.74; this one 0.015 more on average, and 0.07 on short notes of a double bass.
 *   <li><b>The gain leaves the floor only where an average stands out of the noise,</b> and the
 *       long average must stand out on both sides. Without that the residual noise beside notes
 *       chirps.
 *   <li><b>No bin above the highest that sounds is estimated.</b> It lies at two thirds of the
 *       spectrum in the mean over notes of violin, double bass and saxophone in a room at -62 dBFS;
 *       noise reduction takes 3 % less time, and 125 samples stay the same to the bit.
 *   <li><b>Held notes also use a mean of 9 frames each way</b> for half of the gain (below 94 Hz
 *       for all of it): shares of 0.68 to 0.70. Short notes would lose 0.02 to 0.09.
 *   <li><b>What stands well above the noise keeps its power.</b> Missing power is given back where
 *       it is less than half: takes in which an octave loses more than 0.3 dB went from 24 to 19 of
 *       48, and the gain that knows the clean sound has 17. Where more is given back, rooms that
 *       move are raised as well.
 *   <li><b>Short frames give back what long ones lose of an attack below 1 kHz,</b> where it stands
 *       well above the noise, and the higher the more a room clatters. Losses fell from 1.67 to
 *       1.06 dB (vibraphone, a fan that goes off) and 2.4 to 1.4 (vibraphone, train). Where a note
 *       begins while another rings on, three thirds of an octave that rise together tell where.
 *   <li><b>What clatters beside a note is none of it,</b> if it is over within 0.16 s and quiet
 *       lies between; what lasts longer is no attack if 80 ms of quiet follow it. Kurtosis ratios
 *       fell from 69, 33 and 23 to 1.0, and SDR stays the same to 0.01 dB.
 *   <li><b>What comes up after a note is no tail,</b> for a tail only falls: parts of eight bins in
 *       which it rises to four times the least it has been, or the noise, are closed until it is
 *       over. Kurtosis ratios fell from 228 to 1.0 and from 52, 34 and 34 to 2.0 and less; one
 *       double bass loses 0.1 dB of SDR.
 *   <li><b>A clatter alone in a pause is no note,</b> if it is over within 0.16 s and never stands
 *       10 dB above what the room reaches: ratios of 86, 45 and 37 came to 1.0 and 1.1.
 *   <li><b>Nothing begins in a frame that the audio ends in,</b> whose abrupt end is a click. In 5
 *       of 112 takes it let the last 20 ms of the room through, and now in one.
 *   <li><b>What is out of reach.</b> Of short notes at -62 dBFS a Wiener gain that knows every
 *       clean bin, but only the mean of the noise, reaches 0.86; an estimator told each bin's clean
 *       power over three frames 0.67 on a double bass, where this one reaches 0.56. Of 42 octaves
 *       that lose more than 0.3 dB, the gain that knows the clean sound loses as much in 37.
 *   <li><b>Left aside</b>, since none gained 0.01 in both held and short notes: frames of other
 *       lengths, alone or mixed; frames of half the length after an attack; more overlap; a second
 *       pass; a Wiener filter over 7 frames of each bin; optimal shrinkage of singular values; gain
 *       tables or a small network fitted on other instruments.
 * </ul>
 */
package takewright.denoise.gain;
