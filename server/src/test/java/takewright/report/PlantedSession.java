package takewright.report;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.util.Arrays;
import java.util.Comparator;
import java.util.Map;
import java.util.TreeMap;
import java.util.stream.Stream;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.library.Build;
import takewright.testing.HeldTone;
import takewright.testing.TakeBuilder;

/** A small session of computed tones with known faults in it. Invented; nobody plays. */
public final class PlantedSession {
  static final int RATE = 44_100;

  /** Names that a page must not take for markup. */
  static final String ARTICULATION = "<b>held</b> & 'long'";

  private static final double ROOM_DBFS = -62;
  private static final double PEAK_DBFS = -14;

  /** Badly off, yet nearer to its own note than to the next. */
  static final double MISTUNED_CENTS = -48;

  /** Nearer to another note: it fills no cell. */
  static final double LOST_CENTS = 70;

  static final int FIRST = 57;
  static final int LAST = 64;
  static final int MISSING = 60;
  static final int OVERLOADED = 61;
  static final int CLIPPED = 62;
  static final int MISTUNED = 63;
  static final int LOST = 64;
  static final int PLAYED_AGAIN = 59;

  private record Kept(byte[] bytes, FileTime time) {}

  private static final Map<String, Kept> BUILT = new TreeMap<>();

  private PlantedSession() {}

  /** Writes it; the sheet. Two round robins of each note, whose faults are in the second. */
  public static Path write(Path folder) throws IOException {
    Files.createDirectories(folder);
    TakeBuilder take = new TakeBuilder(RATE, 7).pause(2.5);
    for (int midi = FIRST; midi <= LAST; midi++) {
      note(take, midi, 0, PEAK_DBFS);
      if (midi == PLAYED_AGAIN) {
        note(take, midi, 0, PEAK_DBFS - 2);
        note(take, midi, 0, PEAK_DBFS - 1);
      } else if (midi != MISSING) {
        double cents = midi == MISTUNED ? MISTUNED_CENTS : midi == LOST ? LOST_CENTS : 0;
        note(take, midi, cents, midi == OVERLOADED ? 9 : PEAK_DBFS);
      }
    }
    take.sound("talk", 0, take.talk(), -20, ROOM_DBFS).pause(2.5);
    Clip clip = take.build(ROOM_DBFS);
    float[] x = clip.channel(0);
    for (int i = 0; i < x.length; i++) {
      x[i] = Math.max(-1, Math.min(1, x[i]));
    }
    clipTwice(x, take);
    // A name with signs that mean something in addresses.
    WavWriter.write(folder.resolve("take #1 50%.wav"), clip, 24, WavChunks.NONE);
    return Files.writeString(
        folder.resolve("sheet.yaml"),
        """
        # Invented.
        library: Planted
        takes:
          - file: "take #1 50%.wav"
            articulation: "ARTICULATION"
            notes: A3..E4
            dynamics: [mf]
            round_robins: 2
        """
            .replace("ARTICULATION", ARTICULATION));
  }

  /**
   * The same in {@code session}, and its library without a page in {@code library}, both below a
   * folder: made once, so that a build there has its samples. The sheet.
   */
  public static synchronized Path built(Path folder) throws IOException {
    if (BUILT.isEmpty()) {
      Path once = Files.createDirectory(folder.resolve("once"));
      Build.run(write(once.resolve("session")), once.resolve("library"), p -> {}, () -> false);
      try (Stream<Path> all = Files.walk(once)) {
        for (Path file : all.sorted(Comparator.reverseOrder()).toList()) {
          if (Files.isRegularFile(file)) {
            String name = once.relativize(file).toString();
            BUILT.put(name, new Kept(Files.readAllBytes(file), Files.getLastModifiedTime(file)));
          }
          Files.delete(file);
        }
      }
    }
    for (Map.Entry<String, Kept> kept : BUILT.entrySet()) {
      Path file = folder.resolve(kept.getKey());
      Files.createDirectories(file.getParent());
      Files.write(file, kept.getValue().bytes());
      // A take that is newer than its samples would have them made again.
      Files.setLastModifiedTime(file, kept.getValue().time());
    }
    return folder.resolve("session/sheet.yaml");
  }

  /** Two tops cut flat: too few to throw the note out. */
  private static void clipTwice(float[] x, TakeBuilder take) {
    int onset = 0;
    for (TakeBuilder.Event event : take.events()) {
      onset = event.midi() == CLIPPED ? event.onset() : onset;
    }
    for (double atS : new double[] {0.5, 0.9}) {
      int at = onset + (int) (atS * RATE);
      Arrays.fill(x, at, at + 5, 1);
    }
  }

  private static void note(TakeBuilder take, int midi, double cents, double peakDbfs) {
    take.sound("note", midi, tone(midi + cents / 100, 1.6), peakDbfs, ROOM_DBFS).pause(1.4);
  }

  /** Eight partials, a soft attack of 30 ms and a fall of a tenth of a second. */
  private static float[] tone(double midi, double seconds) {
    return HeldTone.of(RATE, HeldTone.hz(midi), seconds).rising(0.03).samples();
  }
}
