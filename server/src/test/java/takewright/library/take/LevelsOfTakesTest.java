package takewright.library.take;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.attribute.FileTime;
import java.util.List;
import java.util.Random;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.audio.AudioFile;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.library.Build;
import takewright.library.folder.IndexCsv;
import takewright.library.folder.IndexRow;
import takewright.testing.HeldTone;
import takewright.testing.Outside;
import takewright.testing.TakeBuilder;

/** A take of invented notes whose levels stray by 4 dB, built. */
class LevelsOfTakesTest {
  private static final int RATE = 48_000;
  private static final int ROUND_ROBINS = 2;

  @TempDir Path folder;

  @BeforeEach
  void take() throws IOException {
    TakeBuilder take = new TakeBuilder(RATE, 5).pause(3);
    Random hand = new Random(7);
    for (int midi : new int[] {60, 64, 67, 71}) {
      for (double dynamic : new double[] {-22, -12}) {
        for (int rr = 0; rr < ROUND_ROBINS; rr++) {
          double peak = dynamic + 4 * (hand.nextDouble() - 0.5);
          take.sound("note", midi, note(midi), peak, -66).pause(1.3);
        }
      }
    }
    WavWriter.write(folder.resolve("take.wav"), take.build(-66), 24, WavChunks.NONE);
  }

  private static float[] note(int midi) {
    return HeldTone.of(RATE, HeldTone.hz(midi), 1).samples();
  }

  private List<IndexRow> build(String keys) throws IOException {
    Path sheet =
        Files.writeString(
            folder.resolve("sheet.yaml"),
            "library: Larkfell\ntakes:\n  - {file: take.wav, articulation: a, notes: [C4, E4, G4,"
                + " B4], dynamics: [p, f], round_robins: 2}\n"
                + keys);
    Build.run(sheet, folder.resolve("out"), progress -> {}, () -> false);
    return IndexCsv.read(folder.resolve("out/index.csv"));
  }

  private static double spread(List<IndexRow> rows) {
    double widest = 0;
    for (int i = 0; i < rows.size(); i += ROUND_ROBINS) {
      widest =
          Math.max(
              widest,
              Math.abs(
                  rows.get(i).measures().levelLufs() - rows.get(i + 1).measures().levelLufs()));
    }
    return widest;
  }

  private static double distance(List<IndexRow> rows) {
    double sum = 0;
    for (int i = 0; i < rows.size(); i++) {
      sum +=
          rows.get(i).cell().dynamic().equals("f")
              ? rows.get(i).measures().levelLufs()
              : -rows.get(i).measures().levelLufs();
    }
    return 2 * sum / rows.size();
  }

  @Test
  void roundRobinsAreAlikeAndTheDynamicsApart() throws IOException {
    List<IndexRow> before = build("levels: {gain: off}\n");
    assertTrue(spread(before) > 1, "nothing to do");
    for (IndexRow row : before) {
      assertEquals(0, row.measures().gainDb());
    }
    List<IndexRow> after = build("");
    assertTrue(spread(after) <= 0.5, "spread " + spread(after));
    assertEquals(distance(before), distance(after), 1);
    for (int i = 0; i < after.size(); i++) {
      IndexRow row = after.get(i);
      assertTrue(row.measures().peakDbtp() <= -1, row.file());
      assertTrue(Math.abs(row.measures().gainDb()) <= 6, row.file());
      assertEquals(
          before.get(i).measures().levelLufs() + row.measures().gainDb(),
          row.measures().levelLufs(),
          0.02);
    }
  }

  /** FFmpeg's meter of EBU R 128 says the same as the index. */
  @Test
  void anotherMeterHearsTheSame() throws Exception {
    Path ffmpeg = Outside.tool("ffmpeg");
    for (IndexRow row : build("").subList(0, 2 * ROUND_ROBINS)) {
      Process process =
          new ProcessBuilder(
                  ffmpeg.toString(),
                  "-nostats",
                  "-hide_banner",
                  "-i",
                  folder.resolve("out").resolve(row.file()).toString(),
                  "-af",
                  "ebur128",
                  "-f",
                  "null",
                  "-")
              .redirectErrorStream(true)
              .start();
      String said = new String(process.getInputStream().readAllBytes());
      assertEquals(0, process.waitFor(), said);
      Matcher level = Pattern.compile("I:\\s+(-[\\d.]+) LUFS").matcher(said);
      double heard = Double.NaN;
      while (level.find()) {
        heard = Double.parseDouble(level.group(1));
      }
      assertEquals(heard, row.measures().levelLufs(), 0.1, row.file());
    }
  }

  @Test
  void gainsMayStayBesideTheFiles() throws IOException {
    List<IndexRow> inFile = build("");
    List<IndexRow> beside = build("levels: {gain: metadata}\n");
    for (int i = 0; i < beside.size(); i++) {
      IndexRow row = beside.get(i);
      assertEquals(inFile.get(i).measures().gainDb(), row.measures().gainDb(), 0.02);
      assertEquals(
          inFile.get(i).measures().levelLufs(),
          row.measures().levelLufs() + row.measures().gainDb(),
          0.05);
      try (AudioFile file = AudioFile.open(folder.resolve("out").resolve(row.file()))) {
        assertEquals(row.measures().gainDb(), file.chunks().instrument().gainDb(), 0.5);
      }
    }
  }

  @Test
  void buildingAgainChangesNothing() throws IOException {
    build("");
    FileTime longAgo = FileTime.fromMillis(1_000_000_000_000L);
    List<IndexRow> rows = IndexCsv.read(folder.resolve("out/index.csv"));
    for (IndexRow row : rows) {
      Files.setLastModifiedTime(folder.resolve("out").resolve(row.file()), longAgo);
    }
    byte[] index = Files.readAllBytes(folder.resolve("out/index.csv"));
    assertEquals(rows, build(""));
    for (IndexRow row : rows) {
      Path file = folder.resolve("out").resolve(row.file());
      assertEquals(longAgo, Files.getLastModifiedTime(file), "written again: " + row.file());
    }
    assertTrue(java.util.Arrays.equals(index, Files.readAllBytes(folder.resolve("out/index.csv"))));
  }
}
