package takewright.library.sample;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.sheet.cell.Cell;

class IntonationTest {
  private static Intonation.HeardNote heard(int midi, int rr, double cents, double uncertainty) {
    return new Intonation.HeardNote(new Cell(0, "staccato", midi, "mf", rr), cents, uncertainty);
  }

  @Test
  void whatIsCertainIsTakenAsItIsHeard() {
    double[] leans =
        Intonation.leans(Arrays.asList(heard(60, 1, 12, 1), null, heard(60, 2, -8, 3.9)));
    assertArrayEquals(new double[3], leans);
  }

  @Test
  void aNoteWithoutNeighboursIsTakenAsItIsHeard() {
    assertArrayEquals(
        new double[2], Intonation.leans(List.of(heard(60, 1, 12, 20), heard(62, 1, 0, 1))));
  }

  @Test
  void anUncertainNoteLeansOnTheOthersOfItsPitch() {
    double[] leans =
        Intonation.leans(
            List.of(
                heard(60, 1, 5, 1),
                heard(60, 2, 7, 1),
                heard(60, 3, 30, 15),
                heard(62, 1, -20, 1),
                heard(62, 2, -22, 1)));
    assertEquals(6, 30 + leans[2], 3, "cents");
    assertEquals(0, leans[0] + leans[1] + leans[3] + leans[4]);
  }

  /** Of notes whose pitch is known, the estimate that leans is nearer to it than what was heard. */
  @Test
  void leaningIsNearerThanHearing() {
    SplittableRandom random = new SplittableRandom(4);
    double alone = 0;
    double leaning = 0;
    for (int take = 0; take < 40; take++) {
      List<Intonation.HeardNote> notes = new ArrayList<>();
      List<Double> truth = new ArrayList<>();
      for (int midi = 60; midi < 72; midi++) {
        double player = 8 * random.nextGaussian();
        for (int rr = 1; rr <= 4; rr++) {
          double played = player + 4 * random.nextGaussian();
          double uncertainty = rr % 2 == 0 ? 1 : 10;
          truth.add(played);
          notes.add(heard(midi, rr, played + uncertainty * random.nextGaussian(), uncertainty));
        }
      }
      double[] leans = Intonation.leans(notes);
      for (int i = 0; i < leans.length; i++) {
        alone += Math.pow(notes.get(i).cents() - truth.get(i), 2);
        leaning += Math.pow(notes.get(i).cents() + leans[i] - truth.get(i), 2);
      }
    }
    assertTrue(leaning < 0.5 * alone, leaning + " against " + alone);
  }
}
