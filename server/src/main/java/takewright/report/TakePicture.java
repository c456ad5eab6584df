package takewright.report;

import java.util.Iterator;
import java.util.Locale;
import java.util.function.IntFunction;
import takewright.diagnosis.Flag;
import takewright.library.take.LevelStrip;
import takewright.segment.FrameRange;
import takewright.segment.Region;
import takewright.segment.Segmentation;
import takewright.segment.room.RoomCourse;

/** A picture of a whole take: its level in strips, with the regions that were found, as a PNG. */
public final class TakePicture {
  private static final int WIDTH = 1240;
  private static final int EDGE = 12;
  private static final int AT = 56; // room for the time before a strip
  private static final int INNER = WIDTH - AT - EDGE;
  private static final int STRIP = 64;
  private static final int APART = 12;

  /** Kept free above the level, for a label. */
  private static final int WORD = 14;

  /** Seconds per strip, and maximum number of strips; longer takes get longer strips. */
  private static final double STRIP_S = 60;

  private static final int MAX_STRIPS = 60;

  private TakePicture() {}

  /**
   * Draws a take.
   *
   * @param levels as {@link LevelStrip#levels()}
   * @param note the name of a MIDI note
   * @return the bytes of a PNG file
   */
  public static byte[] png(Segmentation found, byte[] levels, IntFunction<String> note) {
    double rate = found.sampleRate();
    double seconds = found.frames() / rate;
    double stripS = Math.max(STRIP_S, STRIP_S * Math.ceil(seconds / STRIP_S / MAX_STRIPS));
    int strips = (int) Math.max(1, Math.ceil(seconds / stripS));
    int top = EDGE + Drawing.LETTER_HEIGHT + EDGE;
    Drawing drawing = new Drawing(WIDTH, top + strips * (STRIP + APART));
    long rejected = found.regions().stream().filter(Region::rejected).count();
    int at =
        drawing.write(
            String.format(Locale.ROOT, "%.1f s  room %.1f dBFS   ", seconds, found.roomToneDbfs()),
            EDGE,
            EDGE,
            Drawing.MUTED);
    at = drawing.write(found.regions().size() - rejected + " kept   ", at, EDGE, Drawing.GREEN);
    at = drawing.write(rejected + " rejected (hatched)   ", at, EDGE, Drawing.VERMILLION);
    at = drawing.write("room as learnt   ", at, EDGE, Drawing.SKY);
    drawing.write("threshold over it", at, EDGE, Drawing.ORANGE);
    for (int s = 0; s < strips; s++) {
      int y = top + s * (STRIP + APART);
      double fromS = s * stripS;
      drawing.write(
          String.format(Locale.ROOT, "%d:%02d", (int) fromS / 60, (int) fromS % 60),
          EDGE,
          y + STRIP / 2,
          Drawing.MUTED);
      int wide = (int) Math.min(INNER, Math.ceil((seconds - fromS) / stripS * INNER));
      drawing.box(AT, y, wide, STRIP, Drawing.PANEL);
      for (FrameRange tone : found.roomTone()) {
        stretch(drawing, tone.start() / rate, tone.end() / rate, fromS, stripS, y, 0x20303c, false);
      }
      for (Region region : found.regions()) {
        stretch(
            drawing,
            region.start() / rate,
            region.end() / rate,
            fromS,
            stripS,
            y,
            region.rejected() ? 0x5a2c0c : 0x0d4a3a,
            region.rejected());
      }
      level(drawing, found, levels, fromS, stripS, y, wide);
      room(drawing, found.room(), fromS, stripS, y, wide);
      for (Region region : found.regions()) {
        name(drawing, region, rate, fromS, stripS, y, note);
      }
    }
    return drawing.png();
  }

  /** The level, in the colour of its region. */
  private static void level(
      Drawing drawing,
      Segmentation found,
      byte[] levels,
      double fromS,
      double stripS,
      int y,
      int wide) {
    Iterator<Region> regions = found.regions().iterator();
    Region region = regions.hasNext() ? regions.next() : null;
    for (int x = 0; x < wide; x++) {
      double atS = fromS + (double) x / INNER * stripS;
      double frame = atS * found.sampleRate();
      while (region != null && region.end() <= frame) {
        region = regions.hasNext() ? regions.next() : null;
      }
      boolean inside = region != null && region.start() <= frame;
      int colour = !inside ? Drawing.WAVE : region.rejected() ? Drawing.VERMILLION : Drawing.GREEN;
      int step = (int) (atS / LevelStrip.STEP_S);
      int high = step < levels.length ? (levels[step] & 255) * (STRIP - WORD) / 255 : 0;
      drawing.box(AT + x, y + STRIP - high, 1, high, colour);
    }
  }

  /** The room as it was learnt, and what a sound must pass to start a region. */
  private static void room(
      Drawing drawing, RoomCourse room, double fromS, double stripS, int y, int wide) {
    for (int x = 0; x < wide; x++) {
      int step = (int) ((fromS + (double) x / INNER * stripS) / room.stepS());
      if (step < room.steps()) {
        line(drawing, LevelStrip.ofNoise(room.levelDbfs(step)), AT + x, y, Drawing.SKY);
        line(drawing, LevelStrip.ofNoise(room.startDbfs(step)), AT + x, y, Drawing.ORANGE);
      }
    }
  }

  private static void line(Drawing drawing, byte level, int x, int y, int colour) {
    int high = (level & 255) * (STRIP - WORD) / 255;
    if (high > 0) {
      drawing.box(x, y + STRIP - high, 1, 1, colour);
    }
  }

  private static void stretch(
      Drawing drawing,
      double startS,
      double endS,
      double fromS,
      double stripS,
      int y,
      int colour,
      boolean hatched) {
    int from = (int) (Math.max(0, (startS - fromS) / stripS) * INNER);
    int to = (int) (Math.min(1, (endS - fromS) / stripS) * INNER);
    if (to > from && hatched) {
      drawing.hatched(AT + from, y, to - from, STRIP, colour);
    } else if (to > from) {
      drawing.box(AT + from, y, to - from, STRIP, colour);
    }
  }

  /** Draws its start, its onset, and its note or why it was rejected. */
  private static void name(
      Drawing drawing,
      Region region,
      double rate,
      double fromS,
      double stripS,
      int y,
      IntFunction<String> note) {
    double startS = region.start() / rate;
    if (startS < fromS || startS >= fromS + stripS) {
      return;
    }
    int colour = region.rejected() ? Drawing.VERMILLION : Drawing.GREEN;
    int x = AT + (int) ((startS - fromS) / stripS * INNER);
    drawing.box(x, y, 1, STRIP, colour);
    String word =
        region.rejected()
            ? region.flags().stream().findFirst().map(Flag::word).orElse("")
            : region.pitch() == null ? "" : note.apply(region.pitch().midi());
    drawing.write(word, x + 3, y + 2, Drawing.TEXT);
  }
}
