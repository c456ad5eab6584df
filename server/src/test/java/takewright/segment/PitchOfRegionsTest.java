package takewright.segment;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.util.Arrays;
import java.util.List;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.audio.Clip;
import takewright.pitch.Kind;

/** How well the pitch of a region is known. The notes are computed, so their pitch is exact. */
class PitchOfRegionsTest {
  private static final int RATE = 48_000;

  /** MIDI note numbers and cents. */
  private static final double[][] NOTES = {
    {55, -4}, {57, 5}, {60, -4}, {62, 5}, {64, 0}, {67, 17}, {69, -23}, {72, -4}, {76, 5}, {79, 40}
  };

  @Test
  void centsAreNotThoseOfAGrid() throws IOException {
    SplittableRandom random = new SplittableRandom(3);
    float[] take = new float[(1 + 2 * NOTES.length) * RATE];
    for (int i = 0; i < take.length; i++) {
      take[i] = (float) (2e-4 * (random.nextDouble() - 0.5));
    }
    for (int n = 0; n < NOTES.length; n++) {
      double hz = 440 * Math.pow(2, (NOTES[n][0] - 69 + NOTES[n][1] / 100) / 12);
      for (int i = 0; i < RATE; i++) {
        double t = (double) i / RATE;
        double loud = 0.1 * Math.min(1, t / 0.02) * Math.exp(-t) * Math.min(1, (1 - t) / 0.05);
        for (int k = 1; k <= 6; k++) {
          take[(1 + 2 * n) * RATE + i] += (float) (loud / k * Math.sin(2 * Math.PI * k * hz * t));
        }
      }
    }
    List<Region> kept =
        Segment.apply(Clip.of(RATE, take).source(), SegmentSettings.forKind(Kind.PITCHED))
            .regions()
            .stream()
            .filter(region -> !region.rejected())
            .toList();
    assertEquals(NOTES.length, kept.size(), kept + " of " + Arrays.deepToString(NOTES));
    for (int n = 0; n < NOTES.length; n++) {
      assertEquals(NOTES[n][0], kept.get(n).pitch().midi());
      assertEquals(NOTES[n][1], kept.get(n).pitch().cents(), 1, "note " + NOTES[n][0]);
    }
  }

  /**
   * Bars that are tuned have partials near 1 : 4 : 10 (Fletcher and Rossing, The Physics of Musical
   * Instruments, chapter 19). Where the third lies at 9 2/3, all come round after three periods of
   * the first, which nobody hears as a pitch.
   */
  @Test
  void aPeriodThatOnlyAllPartialsHaveTogetherNamesNoBar() throws IOException {
    int[] notes = {46, 47, 49, 50, 52};
    Partials bar = new Partials(new double[] {1, 4, 9.667, 19.4}, new double[] {1, 0.5, 0.4, 0.1});
    assertEquals(Arrays.stream(notes).boxed().toList(), heard(notes, bar));
  }

  /** Its octave is nearly all there is, and yet its own period is what is heard. */
  @Test
  void aStringWithAStrongOctaveKeepsItsName() throws IOException {
    int[] notes = {46, 47, 49, 50, 52};
    Partials string = new Partials(new double[] {1, 2, 3}, new double[] {0.3, 1, 0.05});
    assertEquals(Arrays.stream(notes).boxed().toList(), heard(notes, string));
  }

  /**
   * A lower string that rings along, 24 dB softer, dies away later: in the end its period is that
   * of both. The levels and decays are made up.
   */
  @Test
  void aStringIsNamedAsItSoundsBeforeItFades() throws IOException {
    for (int midi : new int[] {62, 69}) {
      float[] take = new float[6 * RATE];
      SplittableRandom random = new SplittableRandom(3);
      for (int i = 0; i < take.length; i++) {
        take[i] = (float) (2e-4 * (random.nextDouble() - 0.5));
      }
      ring(take, midi, 5, 0.1, 2);
      ring(take, 50, 4, 0.006, 0.8);
      List<Region> regions =
          Segment.apply(Clip.of(RATE, take).source(), SegmentSettings.forKind(Kind.PITCHED))
              .regions();
      assertEquals(midi, regions.get(0).pitch().midi(), regions.toString());
    }
  }

  /** Adds harmonics from the third second on, that fall by e in 1 / fall seconds. */
  private static void ring(float[] take, int midi, int harmonics, double level, double fall) {
    for (int i = 2 * RATE; i < 5 * RATE; i++) {
      double t = (double) i / RATE - 2;
      double phase = 2 * Math.PI * 440 * Math.pow(2, (midi - 69) / 12.0) * t;
      for (int k = 1; k <= harmonics; k++) {
        double amplitude = level / k * Math.min(1, t / 0.002) * Math.exp(-fall * t);
        take[i] += (float) (amplitude * Math.sin(k * phase + k));
      }
    }
  }

  /**
   * Partials of a sound that is struck.
   *
   * @param ratios to the lowest one's frequency
   * @param levels their amplitudes
   */
  private record Partials(double[] ratios, double[] levels) {}

  private static List<Integer> heard(int[] notes, Partials partials) throws IOException {
    SplittableRandom random = new SplittableRandom(4);
    float[] take = new float[(1 + 2 * notes.length) * RATE];
    for (int i = 0; i < take.length; i++) {
      take[i] = (float) (2e-3 * (random.nextDouble() - 0.5));
    }
    for (int n = 0; n < notes.length; n++) {
      strike(take, (1 + 2 * n) * RATE, 440 * Math.pow(2, (notes[n] - 69) / 12.0), partials);
    }
    return Segment.apply(Clip.of(RATE, take).source(), SegmentSettings.forKind(Kind.PITCHED))
        .regions()
        .stream()
        .filter(region -> !region.rejected())
        .map(region -> region.pitch().midi())
        .toList();
  }

  private static void strike(float[] take, int from, double hz, Partials partials) {
    for (int i = 0; i < 0.8 * RATE; i++) {
      double t = (double) i / RATE;
      double x = 0;
      for (int p = 0; p < partials.ratios.length; p++) {
        double level = partials.levels[p] * Math.exp(-(3 + p) * t);
        x += level * Math.sin(2 * Math.PI * partials.ratios[p] * hz * t);
      }
      take[from + i] += (float) (0.2 * x * Math.min(1, t / 0.002) * Math.min(1, (0.8 - t) / 0.05));
    }
  }
}
