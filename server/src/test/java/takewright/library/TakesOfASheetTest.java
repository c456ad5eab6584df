package takewright.library;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.diagnosis.Flag;
import takewright.library.folder.IndexCsv;
import takewright.library.folder.IndexRow;
import takewright.sheet.SheetException;
import takewright.sheet.cell.CellStatus;
import takewright.testing.HeldTone;
import takewright.testing.TakeBuilder;

/** Builds of small takes of invented notes: what the keys of a take do to its samples. */
class TakesOfASheetTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -62;

  @TempDir Path folder;

  private final TakeBuilder take = new TakeBuilder(RATE, 3).pause(3);

  /** Eight partials that set in within 20 ms and die away. */
  private static float[] note(double midi, double seconds) {
    return HeldTone.of(RATE, HeldTone.hz(midi), seconds).dyingAway(8.7 / seconds).samples();
  }

  private TakesOfASheetTest play(double midi, double seconds) {
    take.sound("note", (int) Math.round(midi), note(midi, seconds), -12, ROOM_DBFS).pause(1.5);
    return this;
  }

  private double startS(int event) {
    return (double) take.events().get(event).start() / RATE;
  }

  private BuildResult build(String keys) throws IOException {
    Path file = folder.resolve("take.wav");
    if (!Files.exists(file)) {
      WavWriter.write(file, take.build(ROOM_DBFS), 24, WavChunks.NONE);
    }
    String files = keys.contains("files:") ? "" : "file: take.wav, ";
    Path sheet =
        Files.writeString(
            folder.resolve("sheet.yaml"),
            "library: Larkfell\ntakes:\n  - {" + files + "articulation: a, " + keys + "}\n");
    return Build.run(sheet, folder.resolve("out"), progress -> {}, () -> false);
  }

  private List<IndexRow> rows() throws IOException {
    return IndexCsv.read(folder.resolve("out/index.csv"));
  }

  private Clip sample(IndexRow row) throws IOException {
    try (AudioFile file = AudioFile.open(folder.resolve("out").resolve(row.file()))) {
      return Clip.read(file, (int) file.frames());
    }
  }

  /** The far one hears the same 5 ms later, 8 dB softer, and has noise of its own. */
  @Test
  void microphonesOfATakeAreCutAndTunedAlike() throws IOException {
    play(60.2, 2).play(61.85, 2).play(64.1, 2);
    int late = RATE * 5 / 1000;
    float[] close = take.build(-200).channel(0);
    float[] room =
        new TakeBuilder(RATE, 9)
            .pause((double) close.length / RATE + 1)
            .build(ROOM_DBFS)
            .channel(0);
    float[] far = new float[close.length];
    for (int i = 0; i < far.length; i++) {
      far[i] = room[i] + (i < late ? 0 : 0.4f * close[i - late]);
    }
    WavWriter.write(folder.resolve("far.wav"), Clip.of(RATE, far), 24, WavChunks.NONE);
    build("files: {close: take.wav, far: far.wav}, notes: [C4, D4, E4]");
    List<IndexRow> rows = rows();
    assertEquals(6, rows.size());
    for (int i = 0; i < 6; i += 2) {
      IndexRow one = rows.get(i);
      IndexRow other = rows.get(i + 1);
      assertEquals("close", one.cell().layer());
      assertEquals("far", other.cell().layer());
      assertEquals(one.file().replace("_close_", "_far_"), other.file());
      assertTrue(one.file().contains("_close_"), one.file());
      assertEquals(one.stretch().startS(), other.stretch().startS());
      assertEquals(one.stretch().onsetS(), other.stretch().onsetS());
      assertEquals(one.stretch().endS(), other.stretch().endS());
      assertEquals(
          one.measures().cents().before(), other.measures().cents().before(), "moved alike");
      assertEquals(new double[] {20, -15, 10}[i / 2], one.measures().cents().before(), 0.5);
      assertEquals(0, one.measures().cents().after(), 0.5);
      assertEquals(0, other.measures().cents().after(), 0.5);
      float[] a = sample(one).channel(0);
      float[] b = sample(other).channel(0);
      assertEquals(a.length, b.length);
      // Moved in pitch alike, the delay between them is still there and the same throughout.
      double expected = late * Math.pow(2, one.measures().cents().before() / 1200);
      for (int from : new int[] {RATE / 2, RATE}) {
        assertEquals(expected, delay(a, b, from, late), 1, one.file() + " at " + from);
      }
    }
  }

  @Test
  void microphonesThatWereNotRecordedTogetherAreRefused() throws IOException {
    play(60, 2);
    Clip whole = take.build(ROOM_DBFS);
    Clip shorter = whole.slice(0, whole.frames() - 1);
    WavWriter.write(folder.resolve("far.wav"), shorter, 24, WavChunks.NONE);
    SheetException e =
        assertThrows(
            SheetException.class,
            () -> build("files: {close: take.wav, far: far.wav}, notes: [C4]"));
    assertTrue(
        e.getMessage().startsWith("sheet.yaml:3: `files` holds take.wav with "), e.getMessage());
    assertFalse(Files.exists(folder.resolve("out")), "nothing is written");
  }

  @Test
  void aNoteBrokenOffIsFlaggedInTheIndex() throws IOException {
    play(60, 2);
    take.sound("note", 62, note(62, 0.35), -12, ROOM_DBFS).pause(0.8);
    play(62, 2);
    build("notes: [C4, D4]");
    IndexRow broken = rows().get(1);
    assertEquals(CellStatus.RETAKE, broken.status());
    assertEquals(Set.of(Flag.FALSE_START), broken.flags());
    assertEquals(CellStatus.KEPT, rows().get(2).status());
  }

  /** The lag at which b is most like a, in frames, near the one expected (less than a period). */
  private static int delay(float[] a, float[] b, int from, int near) {
    int best = 0;
    double max = 0;
    for (int lag = near - 60; lag <= near + 60; lag++) {
      double sum = 0;
      for (int i = from; i < from + RATE / 4; i++) {
        sum += (double) a[i] * b[i + lag];
      }
      if (sum > max) {
        max = sum;
        best = lag;
      }
    }
    return best;
  }

  @Test
  void whatAPersonDecidesHoldsForEveryBuild() throws IOException {
    play(60, 2);
    take.sound("talk", 0, take.talk(), -14, ROOM_DBFS).pause(1.5);
    play(64, 2).play(65, 2);
    String keys = "notes: [C4, D4, E4, F4]";
    BuildResult asHeard = build(keys);
    assertEquals(3, asHeard.samples());
    assertEquals(CellStatus.REJECTED, rows().get(1).status(), "the talk");
    String decided =
        String.format(
            java.util.Locale.ROOT,
            "%s, keep: [%.2f], drop: [%.2f-%.2f, 1:23:45]",
            keys,
            startS(1) + 0.5,
            startS(3) - 0.2,
            startS(3) + 1.8);
    BuildResult first = build(decided);
    IndexRow kept = rows().get(1);
    assertEquals(CellStatus.KEPT, kept.status());
    assertEquals(62, kept.cell().midi());
    assertTrue(kept.flags().contains(Flag.FORCED), kept.flags().toString());
    IndexRow dropped = rows().get(3);
    assertEquals(CellStatus.REJECTED, dropped.status());
    assertEquals(Set.of(Flag.DROPPED), dropped.flags());
    assertEquals(CellStatus.MISSING, rows().get(4).status());
    assertEquals(1, first.warnings().size(), first.warnings().toString());
    assertTrue(
        first
            .warnings()
            .get(0)
            .text()
            .startsWith(
                "sheet.yaml:3: `drop` names 1:23:45, where take.wav has no region; the nearest is from"
                    + " "),
        first.warnings().get(0).text());
    BuildResult second = build(decided);
    assertEquals(second.samples(), second.samplesReused());
    assertEquals(first.warnings(), second.warnings());
    assertEquals(CellStatus.KEPT, rows().get(1).status());
    assertEquals(CellStatus.REJECTED, rows().get(3).status());
  }

  /** All cells have a note that fits; the region to be kept takes the place of none. */
  @Test
  void aRegionToKeepThatNoCellIsLeftForIsSaid() throws IOException {
    play(60, 2).play(72.5, 2);
    BuildResult result =
        build(
            String.format(
                java.util.Locale.ROOT,
                "notes: [C4], keep: [%.2f, %.2f]",
                startS(0) + 1,
                startS(1) + 1));
    assertEquals(1, result.samples());
    assertEquals(1, result.warnings().size(), result.warnings().toString());
    assertTrue(result.warnings().get(0).text().contains("`keep` names the region of "));
  }

  @Test
  void leadInIsAsLongAsTheSheetSays() throws IOException {
    play(60, 2).play(62, 2);
    build("notes: [C4, D4], lead_in_ms: 60");
    for (IndexRow row : rows()) {
      assertEquals(0.060, row.stretch().onsetS() - row.stretch().startS(), 1e-4);
    }
  }

  /** At 60 beats per minute a bar is 4 s: the first note fades before, the second after its end. */
  @Test
  void samplesOfATakeWithATempoHoldTheirBars() throws IOException {
    take.sound("note", 60, note(60, 3.6), -12, ROOM_DBFS).pause(2);
    take.sound("note", 62, note(62, 5), -12, ROOM_DBFS).pause(3);
    take.sound("note", 64, note(64, 2), -12, ROOM_DBFS).pause(4);
    build("notes: [C4, D4, E4], tempo_bpm: 60, loop: no");
    List<IndexRow> rows = rows();
    assertEquals(3, rows.size());
    assertEquals(4, rows.get(0).stretch().endS() - rows.get(0).stretch().onsetS(), 1e-3);
    assertEquals(Set.of(), rows.get(0).flags());
    assertTrue(rows.get(1).stretch().endS() >= (double) take.events().get(1).audible() / RATE);
    assertEquals(4, rows.get(2).stretch().endS() - rows.get(2).stretch().onsetS(), 1e-3);
    assertEquals(Set.of(Flag.SHORT_OF_BARS), rows.get(2).flags());
    double length = (double) sample(rows.get(0)).frames() / RATE;
    assertEquals(
        rows.get(0).stretch().endS() - rows.get(0).stretch().startS(),
        length,
        0.01,
        "but for the tuning");
  }

  /** Two swells a bar with half a second of silence between them are one sample. */
  @Test
  void aSampleMayBeSilentWithinItsBars() throws IOException {
    for (int midi : new int[] {60, 62}) {
      float[] bar = new float[(int) (3.9 * RATE)];
      float[] half = note(midi, 1.7);
      System.arraycopy(half, 0, bar, 0, half.length);
      System.arraycopy(half, 0, bar, (int) (2.2 * RATE), half.length);
      take.sound("note", midi, bar, -12, ROOM_DBFS).pause(2);
    }
    build("notes: [C4, D4], tempo_bpm: 60");
    assertEquals(List.of(60, 62), rows().stream().map(row -> row.cell().midi()).toList());
    for (IndexRow row : rows()) {
      assertEquals(CellStatus.KEPT, row.status());
      assertEquals(
          4.2,
          row.stretch().endS() - row.stretch().onsetS(),
          0.2,
          "the bar, and the tail behind the sound");
      assertEquals(Set.of(), row.flags());
    }
    build("notes: [C4, D4]");
    assertEquals(4, rows().size(), "without a tempo nothing says that they belong together");
  }
}
