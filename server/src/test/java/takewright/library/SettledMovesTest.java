package takewright.library;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import takewright.level.NoteGain;
import takewright.level.Played;

/** A region that is as it was keeps its move while the new one differs by less than is heard. */
class SettledMovesTest {
  @TempDir Path folder;

  private static SettledMoves.Move move(double playedLufs, double gainDb, double leanCents) {
    return new SettledMoves.Move(
        "a-1",
        "a.wav",
        new Played(60, "mf", playedLufs, -12),
        new NoteGain(gainDb, false, -20),
        leanCents);
  }

  private SettledMoves after(SettledMoves.Move move) throws IOException {
    Path file = folder.resolve("moves.json");
    SettledMoves first = new SettledMoves(file);
    assertEquals(move, first.settle(move), "without an earlier build");
    first.write();
    return new SettledMoves(file);
  }

  @Test
  void whatNobodyHearsStays() throws IOException {
    assertEquals(move(-20, 1, 2), after(move(-20, 1, 2)).settle(move(-20, 1.09, 2.4)));
  }

  @Test
  void whatIsHeardIsNew() throws IOException {
    assertEquals(move(-20, 1.11, 2), after(move(-20, 1, 2)).settle(move(-20, 1.11, 2.4)));
    assertEquals(move(-20, 1, 2.6), after(move(-20, 1, 2)).settle(move(-20, 1.05, 2.6)));
  }

  @Test
  void aRegionThatIsItselfAnotherIsNew() throws IOException {
    SettledMoves.Move other = move(-20.1, 1.05, 2.1);
    assertEquals(other, after(move(-20, 1, 2)).settle(other));
  }

  /** Each is compared with the last one itself, so that small steps do not add up unheard. */
  @Test
  void smallStepsDoNotAddUp() throws IOException {
    SettledMoves moves = after(move(-20, 1, 2));
    assertEquals(move(-20, 1, 2), moves.settle(move(-20, 1.06, 2)));
    moves.write();
    moves = new SettledMoves(folder.resolve("moves.json"));
    assertEquals(move(-20, 1.12, 2), moves.settle(move(-20, 1.12, 2)));
  }

  @Test
  void aBrokenFileIsForgotten() throws IOException {
    Path file = Files.writeString(folder.resolve("moves.json"), "[{");
    assertEquals(move(-20, 1, 2), new SettledMoves(file).settle(move(-20, 1, 2)));
  }

  /** Where levels are left alone, and of sounds without a loudness. */
  @Test
  void whatHasNoLevelIsKeptToo() throws IOException {
    SettledMoves.Move none = new SettledMoves.Move("a-1", "a.wav", null, null, 0);
    assertEquals(none, after(none).settle(none));
    SettledMoves.Move soft = move(Double.NaN, 1, 0);
    assertEquals(soft, after(soft).settle(move(Double.NaN, 1.05, 0)));
  }
}
