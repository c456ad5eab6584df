package takewright.analyse;

import takewright.pitch.Pitch;

/**
 * What is heard in one block of audio.
 *
 * @param startFrame its first frame
 * @param endFrame the first frame after it
 * @param rmsDbfs RMS over all channels in dBFS, 0 for a mean square of 1; -200 for digital silence
 * @param peakDbfs its largest sample in dBFS; -200 for digital silence
 * @param momentaryLufs loudness by ITU-R BS.1770-5 of the last 0.4 s before the end of the block,
 *     to the last whole 10 ms, in LUFS; NaN before there are as many, and for digital silence
 * @param shortTermLufs the same of the last 3 s
 * @param pitch what is heard at its end (see {@link Blocks}), or null if nothing repeats
 */
public record BlockFacts(
    long startFrame,
    long endFrame,
    double rmsDbfs,
    double peakDbfs,
    double momentaryLufs,
    double shortTermLufs,
    Pitch pitch) {}
