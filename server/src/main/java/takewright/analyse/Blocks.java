package takewright.analyse;

import java.io.IOException;
import java.util.function.Consumer;
import takewright.audio.AudioSource;
import takewright.audio.PassingSource;
import takewright.dsp.Decibels;
import takewright.pitch.Confidence;
import takewright.pitch.Pitch;
import takewright.pitch.PitchDetector;
import takewright.pitch.PitchTrack;

/**
 * Reports levels and pitch block by block while audio is read. Blocks are laid from the first frame
 * on, all of one length to a frame but the last, which may be shorter; they are the same in
 * whatever pieces the audio is read.
 *
 * <p>The pitch is that of the last 0.1 s before the end of a block, the window in which {@link
 * PitchDetector} tells {@value PitchDetector#LOWEST_HZ} to {@value PitchDetector#HIGHEST_HZ} Hz
 * apart; none before there are as many. One window has no others to agree with: it slips octaves
 * where a whole note does not, one in twenty-five in noise up to 12 dB above the note.
 */
public final class Blocks {
  /** Frames processed at a time; equal pieces give equal sums to the last bit. */
  private static final int PIECE = 512;

  private static final double SILENCE_DBFS = -200;

  private final BlockSettings settings;
  private final Consumer<BlockFacts> listener;
  private final int sampleRate;
  private final Loudness loudness;

  /** Null if no pitch is looked for. */
  private final PitchDetector detector;

  private final double[] probabilities = new double[64];

  private final float[][] piece;
  private int pieceFill;

  /**
   * The last frames as the mean of the channels; the newest lies just before {@code recentFill}.
   */
  private final float[] recent;

  private int recentFill;

  private long frames;
  private long block;
  private double squares;
  private float peak;

  private Blocks(
      int sampleRate, int channels, BlockSettings settings, Consumer<BlockFacts> listener) {
    this.settings = settings;
    this.listener = listener;
    this.sampleRate = sampleRate;
    loudness = new Loudness(sampleRate, channels);
    detector = settings.unpitched() ? null : new PitchDetector(sampleRate);
    piece = new float[channels][PIECE];
    recent = new float[detector == null ? 0 : 4 * detector.window() + PIECE];
  }

  /**
   * The audio of {@code source}, unchanged, with a listener that is told of each block as soon as
   * its last frame was read. Samples must be finite. Closing it closes {@code source}.
   */
  public static AudioSource of(
      AudioSource source, BlockSettings settings, Consumer<BlockFacts> listener) {
    Blocks blocks = new Blocks(source.sampleRate(), source.channels(), settings, listener);
    return new PassingSource(source) {
      @Override
      public int read(float[][] planar, int offset, int count) throws IOException {
        int n = source.read(planar, offset, count);
        if (n > 0) {
          blocks.feed(planar, offset, n);
        }
        // If the length is known, the end is known without reading on.
        if (n < 0 || blocks.frames == source.frames()) {
          blocks.end();
        }
        return n;
      }
    };
  }

  private void feed(float[][] planar, int offset, int count) {
    int at = offset;
    int left = count;
    while (left > 0) {
      long blockEnd = boundary(block + 1);
      int n = (int) Math.min(Math.min(left, PIECE - pieceFill), blockEnd - frames);
      for (int c = 0; c < piece.length; c++) {
        System.arraycopy(planar[c], at, piece[c], pieceFill, n);
      }
      pieceFill += n;
      frames += n;
      at += n;
      left -= n;
      if (pieceFill == PIECE || frames == blockEnd) {
        measure();
      }
      if (frames == blockEnd) {
        complete();
      }
    }
  }

  private void end() {
    if (frames > boundary(block)) {
      measure();
      complete();
    }
  }

  /** The first frame of a block; lengths that are no whole frames are spread evenly. */
  private long boundary(long block) {
    return Math.round(block * settings.blockMs() / 1000 * sampleRate);
  }

  /** Processes the filled part of the piece. */
  private void measure() {
    for (float[] channel : piece) {
      for (int i = 0; i < pieceFill; i++) {
        squares += (double) channel[i] * channel[i];
        peak = Math.max(peak, Math.abs(channel[i]));
      }
    }
    loudness.feed(piece, 0, pieceFill);
    if (detector != null) {
      remember();
    }
    pieceFill = 0;
  }

  private void remember() {
    if (recentFill + pieceFill > recent.length) {
      System.arraycopy(recent, recentFill - detector.window(), recent, 0, detector.window());
      recentFill = detector.window();
    }
    for (int i = 0; i < pieceFill; i++) {
      float sum = 0;
      for (float[] channel : piece) {
        sum += channel[i];
      }
      recent[recentFill++] = sum / piece.length;
    }
  }

  private void complete() {
    long start = boundary(block);
    double meanSquare = squares / piece.length / (frames - start);
    listener.accept(
        new BlockFacts(
            start,
            frames,
            meanSquare > 0 ? Math.max(SILENCE_DBFS, Decibels.fromPower(meanSquare)) : SILENCE_DBFS,
            peak > 0 ? Math.max(SILENCE_DBFS, Decibels.fromAmplitude(peak)) : SILENCE_DBFS,
            loudness.momentary(),
            loudness.shortTerm(),
            pitch()));
    block++;
    squares = 0;
    peak = 0;
  }

  /** The likeliest period of the last window; null if none is likely. */
  private Pitch pitch() {
    if (detector == null || recentFill < detector.window()) {
      return null;
    }
    int candidates = detector.find(recent, recentFill - detector.window());
    if (candidates == 0 || detector.deepest() > PitchTrack.MAX_APERIODIC) {
      return null;
    }
    detector.probabilities(probabilities);
    int best = 0;
    for (int c = 1; c < candidates; c++) {
      best = probabilities[c] > probabilities[best] ? c : best;
    }
    double voiced = 1 - PitchDetector.betaCdf(detector.deepest());
    double confidence = Confidence.alone(voiced * probabilities[best]);
    return Pitch.of(detector.frequency(best), settings.tuningHz(), confidence);
  }
}
