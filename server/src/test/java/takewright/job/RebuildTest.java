package takewright.job;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.library.BuildResult;
import takewright.library.folder.Changes;
import takewright.testing.HeldTone;
import takewright.testing.Job;
import takewright.testing.TakeBuilder;

/**
 * A library that is built again after a decision: only what follows from it is made again, what it
 * changed is said, the sample before can still be heard, and regions keep their ids.
 */
class RebuildTest {
  private static final int RATE = 48_000;
  private static final double ROOM_DBFS = -64;
  private static final double NOTE_S = 1.2;

  @TempDir Path folder;
  private Job job;

  @BeforeEach
  void record() {
    TakeBuilder take = new TakeBuilder(RATE, 71).pause(3);
    double[] hz = {220, 220, 261.6256, 261.6256, 329.6276, 329.6276};
    for (int i = 0; i < hz.length; i++) {
      take.sound("note", 0, tone(hz[i]), -14 - i % 2, ROOM_DBFS).pause(1.4);
    }
    job = new Job(folder).take("take.wav", take.build(ROOM_DBFS));
  }

  private static float[] tone(double hz) {
    return HeldTone.of(RATE, hz, NOTE_S).samples();
  }

  private BuildResult build(String fixes) {
    return job.build("out", sheet(fixes));
  }

  private static String sheet(String fixes) {
    return "library: L\nlayers: [{name: close}, {name: thin, chain: [{high_pass: 300}]}]\ntakes:\n"
        + "  - {file: take.wav, articulation: a, notes: [A3, C4, E4], round_robins: 2"
        + fixes
        + "}\n";
  }

  private static String name(String layer, String note) {
    return "L_a_" + layer + "_" + note + ".wav";
  }

  private byte[] bytes(String... path) throws IOException {
    return Files.readAllBytes(job.file("out").resolve(String.join("/", path)));
  }

  /** The note and round robin of each region that is kept, by its id. */
  private Map<String, String> ids() {
    Map<String, String> ids = new TreeMap<>();
    for (String[] row : job.rows("out", "status", "kept", "id", "note", "rr", "layer")) {
      if (row[3].equals("close")) {
        assertEquals(null, ids.put(row[0], row[1] + row[2]), "two regions are " + row[0]);
      } else {
        assertEquals(ids.get(row[0]), row[1] + row[2], "a layer has the id of its region");
      }
    }
    return ids;
  }

  @Test
  void oneDecisionMakesItsOwnSamplesAgain() throws IOException {
    BuildResult first = build("");
    assertEquals(12, first.samples());
    assertTrue(first.changes().isFirst());
    assertEquals(12, first.changes().added().size());
    byte[] before = bytes(name("close", "C4_mf_rr1"));
    Map<String, String> ids = ids();
    assertEquals(6, ids.size());

    BuildResult fixed = build(", fixes: [{note: C4, rr: 1, cents: -5}]");
    List<String> own = List.of(name("close", "C4_mf_rr1"), name("thin", "C4_mf_rr1"));
    assertEquals(10, fixed.samplesReused());
    assertEquals(new Changes(false, List.of(), own, List.of()), fixed.changes());
    assertEquals(fixed.changes(), Changes.read(job.file("out")));
    assertArrayEquals(before, bytes(Changes.BEFORE, name("close", "C4_mf_rr1")));
    assertEquals(ids, ids());

    // Nothing is decided: nothing changes, and there is nothing to compare with.
    BuildResult same = build(", fixes: [{note: C4, rr: 1, cents: -5}]");
    assertEquals(12, same.samplesReused());
    assertEquals(Changes.NONE, same.changes());
    assertFalse(Files.exists(job.file("out").resolve(Changes.BEFORE + "/" + own.get(0))));

    // Undone, it is as it was.
    assertEquals(own, build("").changes().changed());
    assertArrayEquals(before, bytes(own.get(0)));
  }

  /**
   * Its loudness changes a little, and with it the curve that all levels are drawn to, by less than
   * anybody hears.
   */
  @Test
  void aMovedEndLeavesTheLevelsOfItsNeighbours() {
    build("");
    String was = job.rows("out", "file", name("close", "C4_mf_rr1"), "end_s").get(0)[0];
    double end = Double.parseDouble(was) - 0.05;
    BuildResult moved = build(", fixes: [{note: C4, rr: 1, end_s: " + end + "}]");
    assertEquals(
        List.of(name("close", "C4_mf_rr1"), name("thin", "C4_mf_rr1")), moved.changes().changed());
  }

  /** Flags are in the index alone. */
  @Test
  void anAcceptedFlagMakesNothingAgain() {
    build("");
    BuildResult accepted = build(", fixes: [{note: C4, rr: 1, accept: no_loop}]");
    assertEquals(12, accepted.samplesReused());
    assertEquals(Changes.NONE, accepted.changes());
  }

  @Test
  void aRegionKeepsItsIdWhenItsBoundsMove() {
    build("");
    Map<String, String> ids = ids();
    String start = job.rows("out", "note", "C4", "start_s").get(0)[0];
    double from = Double.parseDouble(start) - 0.4;
    build(", fixes: [{note: C4, rr: 1, start_s: " + from + "}]");
    assertEquals(ids, ids());
    assertTrue(ids.containsKey("take-3000"), "named after its onset at 3 s: " + ids.keySet());
  }

  @Test
  void whatVanishesCanStillBeHeard() throws IOException {
    build("");
    byte[] before = bytes(name("close", "E4_mf_rr2"));
    BuildResult dropped = build(", fixes: [{note: E4, rr: 2, drop: yes}]");
    assertEquals(
        List.of(name("close", "E4_mf_rr2"), name("thin", "E4_mf_rr2")),
        dropped.changes().vanished());
    assertEquals(List.of(), dropped.changes().added());
    assertArrayEquals(before, bytes(Changes.BEFORE, name("close", "E4_mf_rr2")));
    assertFalse(Files.exists(job.file("out").resolve(name("close", "E4_mf_rr2"))));
    BuildResult back = build("");
    assertEquals(dropped.changes().vanished(), back.changes().added());
    // The other round robin stays where it is.
    String first = job.rows("out", "file", name("close", "E4_mf_rr1"), "onset_s").get(0)[0];
    assertEquals(
        List.of(name("close", "E4_mf_rr1"), name("thin", "E4_mf_rr1")),
        build(", fixes: [{at: " + first + ", drop: yes}]").changes().vanished());
  }

  /** Whatever else has changed in the sheet. */
  @Test
  void onlyTheCellsThatAreNamedAreMade() throws IOException {
    BuildResult part = job.buildOnly("out", sheet(""), "C4 rr1, E4");
    assertEquals(6, part.samples());
    assertEquals(12, build("").samples());
    byte[] before = bytes(name("close", "E4_mf_rr1"));
    String fixes = ", fixes: [{note: C4, cents: -5}, {note: E4, cents: 5}]";
    BuildResult some = job.buildOnly("out", sheet(fixes), "a C4 mf rr2");
    assertEquals(12, some.samples());
    assertEquals(
        List.of(name("close", "C4_mf_rr2"), name("thin", "C4_mf_rr2")), some.changes().changed());
    assertArrayEquals(before, bytes(name("close", "E4_mf_rr1")));
    assertEquals(6, build(fixes).changes().changed().size());
  }
}
