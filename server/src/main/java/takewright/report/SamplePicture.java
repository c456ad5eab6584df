package takewright.report;

import java.util.Locale;
import takewright.analyse.SampleFacts;
import takewright.audio.Clip;
import takewright.diagnosis.Flags;

/** A picture of one sample: outline, spectrum, pitch, and what was measured, as a PNG. */
public final class SamplePicture {
  private static final int WIDTH = 900;
  private static final int EDGE = 12;
  private static final int OUTLINE = 140;
  private static final int SPECTRUM = 216; // three pixels per band
  private static final int PITCH = 90;
  private static final int INNER = WIDTH - 2 * EDGE;

  /** Cents from the centre of the pitch panel to its edge. */
  private static final double CENTS = 50;

  private SamplePicture() {}

  /**
   * Draws a sample.
   *
   * @param facts what was heard in it
   * @param note name of the note that was heard; empty for none
   * @return the bytes of a PNG file
   */
  public static byte[] png(Clip sample, SampleFacts facts, String note) {
    boolean pitched = facts.pitch() != null;
    int line = Drawing.LETTER_HEIGHT + EDGE;
    int height = EDGE + 2 * line + OUTLINE + EDGE + SPECTRUM + EDGE + (pitched ? PITCH + EDGE : 0);
    Drawing drawing = new Drawing(WIDTH, height);
    float[] x = sample.mono();
    int y = EDGE;
    int at = EDGE;
    if (pitched) {
      at = drawing.write(note, at, y, Drawing.GREEN);
      at =
          drawing.write(
              text("  %+.1f cents  %.2f Hz", facts.pitch().cents(), facts.pitch().frequencyHz()),
              at,
              y,
              Drawing.TEXT);
    } else {
      at = drawing.write("no pitch", at, y, Drawing.TEXT);
    }
    drawing.write(text("   %.3f s", (double) x.length / sample.sampleRate()), at, y, Drawing.MUTED);
    y += line;
    at =
        drawing.write(
            text(
                "%.1f LUFS  peak %.1f dBTP  floor %.1f dBFS",
                facts.levelLufs(), facts.peakDbtp(), facts.floorDbfs()),
            EDGE,
            y,
            Drawing.MUTED);
    drawing.write("   " + Flags.text(facts.flags()), at, y, Drawing.ORANGE);
    y += line;

    drawing.box(EDGE, y, INNER, OUTLINE, Drawing.PANEL);
    drawing.outline(Waveform.of(x, INNER, 1), EDGE, y, INNER, OUTLINE, Drawing.WAVE);
    y += OUTLINE + EDGE;
    spectrum(drawing, x, sample.sampleRate(), y);
    y += SPECTRUM + EDGE;
    if (pitched) {
      pitch(drawing, x, sample.sampleRate(), facts, y);
    }
    return drawing.png();
  }

  private static String text(String format, Object... values) {
    return String.format(Locale.ROOT, format, values);
  }

  private static void spectrum(Drawing drawing, float[] x, int sampleRate, int y) {
    int columns = INNER / 3;
    byte[] grey = Spectrogram.of(x, sampleRate, columns);
    int high = SPECTRUM / Spectrogram.BANDS;
    for (int row = 0; row < Spectrogram.BANDS; row++) {
      for (int column = 0; column < columns; column++) {
        int level = grey[row * columns + column] & 255;
        drawing.box(EDGE + 3 * column, y + high * row, 3, high, Spectrogram.colour(level));
      }
    }
    for (int hz : new int[] {100, 1000, 10_000}) {
      double part =
          Math.log(hz / Spectrogram.LOWEST_HZ)
              / Math.log(Spectrogram.HIGHEST_HZ / Spectrogram.LOWEST_HZ);
      int at = y + (int) (SPECTRUM * (1 - part));
      drawing.box(EDGE, at - 3, 56, Drawing.LETTER_HEIGHT + 6, Drawing.PAGE);
      drawing.write(hz >= 1000 ? hz / 1000 + " kHz" : hz + " Hz", EDGE + 4, at, Drawing.TEXT);
    }
  }

  private static void pitch(Drawing drawing, float[] x, int sampleRate, SampleFacts facts, int y) {
    drawing.box(EDGE, y, INNER, PITCH, Drawing.PANEL);
    drawing.box(EDGE, y + PITCH / 2, INNER, 1, Drawing.MUTED);
    double cents = facts.pitch().cents();
    short[] line = PitchLine.of(x, sampleRate, facts.pitch().frequencyHz());
    for (int i = 0; i < line.length; i++) {
      double off = line[i] + cents;
      if (line[i] != PitchLine.NONE && Math.abs(off) < CENTS) {
        int wide = Math.max(2, INNER / line.length);
        int at = EDGE + (int) ((long) i * INNER / line.length);
        drawing.box(at, y + (int) (PITCH / 2 * (1 - off / CENTS)) - 1, wide, 3, Drawing.SKY);
      }
    }
    drawing.write("+50 cents", EDGE + 4, y + 4, Drawing.MUTED);
    drawing.write("-50 cents", EDGE + 4, y + PITCH - 4 - Drawing.LETTER_HEIGHT, Drawing.MUTED);
  }
}
