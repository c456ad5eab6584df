package takewright.library;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import takewright.audio.Clip;
import takewright.audio.WavChunks;
import takewright.audio.write.WavWriter;
import takewright.denoise.Denoise;
import takewright.denoise.DenoiseResult;
import takewright.denoise.DenoiseSettings;
import takewright.denoise.Noise;
import takewright.denoise.room.NoiseProfile;
import takewright.diagnosis.Flag;
import takewright.diagnosis.Problem;
import takewright.library.folder.IndexCsv;
import takewright.library.folder.IndexRow;
import takewright.library.take.RestlessRoom;
import takewright.sheet.cell.CellStatus;
import takewright.testing.HeldTone;

/** A room that moves under every note is said once, of the take. The room is invented. */
class RestlessTakesTest {
  private static final int RATE = 48_000;
  private static final int NOTES = 8;
  private static final int EVERY = 4 * RATE;

  @TempDir Path folder;

  /** Held notes of two seconds after pauses of two. */
  private static Clip take(double wanderDb) {
    float[] x = Noise.wandering(RATE, NOTES * EVERY + 2 * RATE, -52, wanderDb, 11);
    for (int n = 0; n < NOTES; n++) {
      float[] note = HeldTone.of(RATE, HeldTone.hz(60 + n), 2).samples();
      for (int i = 0; i < note.length; i++) {
        x[n * EVERY + 2 * RATE + i] += 0.2f * note[i];
      }
    }
    return Clip.of(RATE, x);
  }

  private BuildResult build(double wanderDb, String keys) throws IOException {
    WavWriter.write(folder.resolve("take.wav"), take(wanderDb), 24, WavChunks.NONE);
    Path sheet =
        Files.writeString(
            folder.resolve("sheet.yaml"),
            "library: Larkfell\ntakes:\n  - {file: take.wav, articulation: a, notes: C4..G4"
                + keys
                + "}\n");
    return Build.run(sheet, folder.resolve("out"), progress -> {}, () -> false);
  }

  private static List<String> restless(BuildResult result) {
    return result.warnings().stream()
        .map(Problem::text)
        .filter(line -> line.contains("the level of the room moves all the time"))
        .toList();
  }

  @Test
  void aRoomThatMovesAllTheTimeIsSaidOnceAndNotOfEveryNote() throws IOException {
    List<String> said = restless(build(10, ""));
    assertEquals(1, said.size());
    assertTrue(said.get(0).contains("sheet.yaml:3: `cleaning` take.wav: "), said.get(0));
    List<IndexRow> kept =
        IndexCsv.read(folder.resolve("out/index.csv")).stream()
            .filter(row -> row.status() == CellStatus.KEPT)
            .toList();
    assertEquals(NOTES, kept.size());
    for (IndexRow row : kept) {
      assertTrue(!row.flags().contains(Flag.ROOM_MOVES), row.toString());
    }
  }

  @ParameterizedTest
  @CsvSource({"8, ', cleaning: no'", "0.5, ''"})
  void nothingIsSaidOfARoomThatIsLeftOrSteady(double wanderDb, String keys) throws IOException {
    assertEquals(List.of(), restless(build(wanderDb, keys)));
  }

  /** The doubt grows with the root of the time since the room was heard. */
  @Test
  void aNoteFarFromAllThatWasHeardStandsOut() throws IOException {
    Clip take = take(8);
    NoiseProfile room = NoiseProfile.learn(take.source());
    Clip note = take.slice(3 * EVERY, 4 * EVERY + RATE);
    Set<Flag> among = RestlessRoom.flags(clean(note, room.from(3 * EVERY)), room);
    assertTrue(!among.contains(Flag.ROOM_MOVES), among.toString());
    DenoiseResult far = clean(note, room.from(take.frames() + 30L * RATE));
    assertTrue(RestlessRoom.flags(far, room).contains(Flag.ROOM_MOVES), "" + far.flags());
  }

  private static DenoiseResult clean(Clip audio, NoiseProfile room) {
    DenoiseResult result = Denoise.apply(audio, new DenoiseSettings(24, room));
    assertTrue(result.flags().contains(Flag.ROOM_MOVES), "" + result.roomUncertaintyDb());
    return result;
  }
}
