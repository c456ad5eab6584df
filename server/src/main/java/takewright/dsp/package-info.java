/**
 * Mathematics of signals, without music: transforms, windows, filters, resampling, convolution,
 * statistics.
 *
 * <p>Findings (measured up to 2026-11-29 on Java 17):
 *
 * <ul>
 *   <li><b>The resampler beside others.</b> Sines of amplitude 0.5 up to 20 kHz: ripple in dB, then
 *       the highest alias in dB. SoX 14.4.2 {@code rate -v}, in floats; SciPy's {@code
 *       resample_poly} with a Kaiser window (beta 13, 96 input frames a side), in doubles.
 *       <table>
 *         <caption>Ripple and alias</caption>
 *         <tr><th></th><th>here</th><th>SoX</th><th>SciPy</th></tr>
 *         <tr><td>44.1 to 48 kHz</td><td>0.000004, -128</td><td>0.0030, -144</td><td>0.000002, -127</td></tr>
 *         <tr><td>48 to 44.1 kHz</td><td>0.000005, -127</td><td>0.0019, -145</td><td>0.000002, -128</td></tr>
 *         <tr><td>96 to 48 kHz</td><td>0.000003, -131</td><td>0.0000, -145</td><td>0.000001, -132</td></tr>
 *         <tr><td>20 cents up</td><td>0.000006, -123</td><td>0.0051, -140</td><td>0.000002, -126</td></tr>
 *         <tr><td>60 cents up</td><td>0.000004, -126</td><td>0.0037, -141</td><td>0.000002, -128</td></tr>
 *       </table>
 *       Along a glide of 40 cents and a swing of 1 Hz the highest alias is -125 dB.
 *   <li><b>Two stages.</b> The first, done with transforms of 2048, undoes what the short second
 *       filter takes from the band, and costs the same however steep it is. So a bare Kaiser window
 *       of eight taps is enough, where twenty taps interpolated between two rows of a table cost 21
 *       ns a frame and sixteen unrolled ones 16.
 *   <li><b>Sums of products ({@code BlockVector}).</b> HotSpot 17 does not vectorise a sum of
 *       floats, nor a loop over two arrays with different variable offsets. Rows of 256 products,
 *       copied to begin at 0, run at 6.8 billion products a second; four sums side by side run at
 *       2.4. A loop that writes more than one array or reads more than four is not vectorised
 *       either: two phases of a filter in one loop took 48 us, in two loops 18. The JDK's vector
 *       module is still incubating and prints a warning at each start.
 *   <li><b>A transform of our own</b> ({@code SplitFft}, {@code RealFft}), forward and back,
 *       against JTransforms, in us: 2048 points 10.0 and 13.6; 4096, 20.4 and 29.0; 8192, 41.1 and
 *       61.9; 16384, 82.9 and 129; 32768, 170 and 282. At 1024 and below the gain is not worth the
 *       code. RMS error 1.3e-7 against 1.4e-7. What decided its form: a butterfly of radix 4
 *       together with its twiddle factors is too long for vector code, so the factors have loops of
 *       their own; distances within an array must be literals (three times slower with variables);
 *       and each loop must be a method of its own, called through an interface, or HotSpot calls a
 *       copy that it compiled earlier. The last step, from the halves to the spectrum, is no vector
 *       code: with its rows copied first into four arrays in order, all took 3 to 34 % longer
 *       (2026-11-29).
 *   <li><b>Convolution in partitions of one size</b> (8192 frames). Growing partitions (Gardner)
 *       reduce a delay that nobody waits for here. Spectra with real and imaginary parts in
 *       separate arrays are vectorised, interleaved ones are not. Silent blocks and partitions are
 *       skipped.
 *   <li><b>Loops in methods of their own.</b> A method with several loops is compiled once for each
 *       loop that gets hot while it runs, and once more when it is called often. The pitch detector
 *       and the detail of attacks in steps: C2 7.0 s instead of 7.6 in a cold build.
 *   <li><b>Conversions and recursions.</b> With HotSpot 17 a conversion between whole numbers,
 *       floats and doubles waits for what its register held before, and a recursion of one sample a
 *       turn is unrolled into code that moves values about. Two samples a turn, whole numbers taken
 *       apart by their bits, and floats all through, in ns a sample: two filters in series 3.1
 *       instead of 13.9, loudness 3.5 instead of 5.9, dither 6.1 instead of 10.7, a phase between
 *       two places 2 instead of 11, energies by lag 1.3 instead of 7.4, the gains of a loop 4
 *       instead of 15. Hum takes 0.9 % of a warm build instead of 3.5 (2026-11-30). Whole numbers
 *       made floats in a loop of their own are vector code: a file of 24 bits is read at 0.8 ns a
 *       sample instead of 1.4, and a sum of squares in eight sums instead of four takes 0.28 ns
 *       instead of 0.45 (2026-12-01).
 *   <li><b>Loops that wait for themselves.</b> An output of a recursive filter that is added up
 *       last from the one before it (direct form I) waits for two operations instead of four; the
 *       highest of many samples is taken place by place over rows, which is vector code; powers are
 *       taken without packing a spectrum first. With these, with silence behind a take's end that
 *       is not transformed, and with samples that cannot be cut tops passed over once, nine notes
 *       of 5 s took less processor time (2026-11-29, the least of 15 rounds, two processes side by
 *       side): noise reduction 298 ms instead of 322, loops 255 instead of 262, levels 23.4 instead
 *       of 25.0, cut tops 2.5 instead of 8.8. The samples of a build stayed the same to the bit;
 *       those of layers that are filtered may differ in the last bit.
 *   <li><b>Harmonics at the rate that they need</b> ({@code Decimator}): a phase vocoder over 5 s
 *       of notes of 41, 98, 196, 440, 880 and 2093 Hz takes 3.1, 2.3, 2.2, 2.5, 1.8 and 0.9 ms
 *       instead of 8.8, 4.4, 3.8, 4.0, 2.0 and 0.7 at 48 kHz, and errs as before (0.01 to 0.02
 *       cents RMS from 196 Hz on). With hum laid down by whole numbers of turns and bands summed
 *       from narrower ones, noise reduction of nine notes takes 244 ms instead of 266, and a warm
 *       build 20.2 s of processor time instead of 21.3 (2026-11-29).
 *   <li><b>Oversampling by half-band filters.</b> One long filter at eight times the rate cost 30
 *       times what three half-band filters cost.
 * </ul>
 */
package takewright.dsp;
