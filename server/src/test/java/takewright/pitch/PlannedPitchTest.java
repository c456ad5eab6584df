package takewright.pitch;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNull;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Set;
import java.util.SplittableRandom;
import org.junit.jupiter.api.Test;
import takewright.audio.AudioFile;
import takewright.audio.Clip;
import takewright.diagnosis.Flag;
import takewright.segment.Blemishes;
import takewright.segment.Region;
import takewright.testing.Recordings;
import takewright.testing.TakeBuilder;

/** Recorded low notes that are over soon are known by the plan, and recorded speech is not. */
class PlannedPitchTest {
  private static final double PLAYED_S = 0.25;

  private static List<Recordings.Note> low() {
    return Recordings.of("contrabass").stream().filter(note -> note.midi() < 50).toList();
  }

  private static PlannedPitch planned(int sampleRate) {
    int[] midi = low().stream().mapToInt(Recordings.Note::midi).toArray();
    return new PlannedPitch(midi, 440, sampleRate);
  }

  @Test
  void lowNotesThatAreOverSoonAreNamed() {
    int named = 0;
    List<String> wrong = new ArrayList<>();
    for (Recordings.Note note : low()) {
      Clip clip = note.read(PLAYED_S);
      float[] sound = Arrays.copyOf(TakeBuilder.faded(clip), (int) (0.45 * clip.sampleRate()));
      Pitch pitch = planned(clip.sampleRate()).of(sound);
      named += pitch != null ? 1 : 0;
      if (pitch != null && pitch.midi() != note.midi()) {
        wrong.add(note.midi() + " as " + pitch);
      }
    }
    assertEquals(List.of(), wrong);
    assertTrue(named >= 0.8 * low().size(), named + " of " + low().size());
  }

  /** Six periods of an E5 are as long as one of an A2. */
  @Test
  void highNotesAreNotTakenForLowOnes() {
    PlannedPitch planned = new PlannedPitch(new int[] {45, 76}, 440, 48_000);
    SplittableRandom random = new SplittableRandom(7);
    for (double hertz : new double[] {330, 440, 550, 660}) {
      float[] sound = new float[24_000];
      for (int i = 0; i < sound.length; i++) {
        double t = i / 48_000.0;
        double tone = Math.sin(2 * Math.PI * hertz * t) + 0.5 * Math.sin(4 * Math.PI * hertz * t);
        sound[i] = (float) (0.2 * Math.exp(-6 * t) * tone + 0.01 * (random.nextDouble() - 0.5));
      }
      assertNull(planned.of(sound), hertz + " Hz");
    }
  }

  @Test
  void wordsAreNoNotes() throws IOException {
    int named = 0;
    int all = 0;
    for (Path prompt : Recordings.speech().subList(40, 100)) {
      try (AudioFile file = AudioFile.open(prompt)) {
        float[] words = Clip.read(file, (int) file.frames()).mono();
        int length = file.sampleRate() / 2;
        for (int from = 0; from + length <= words.length; from += length) {
          float[] piece = Arrays.copyOfRange(words, from, from + length);
          named += planned(file.sampleRate()).of(piece) != null ? 1 : 0;
          all++;
        }
      }
    }
    assertTrue(all > 100 && named <= 0.02 * all, named + " of " + all);
  }

  @Test
  void noiseIsNoNote() {
    SplittableRandom random = new SplittableRandom(7);
    float[] noise = new float[24_000];
    for (int i = 0; i < noise.length; i++) {
      noise[i] = (float) (0.1 * (2 * random.nextDouble() - 1));
    }
    assertNull(planned(48_000).of(noise));
    assertNull(planned(48_000).of(new float[24_000]), "silence");
    assertNull(planned(48_000).of(new float[1]), "a sample");
  }

  @Test
  void onlyShortSoundsWhereLowNotesArePlannedAreAskedFor() {
    assertTrue(planned(48_000).isFor(24_000));
    assertFalse(planned(48_000).isFor(96_000), "long enough to be heard by itself");
    assertFalse(new PlannedPitch(new int[] {60, 72}, 440, 48_000).isFor(24_000));
    assertFalse(new PlannedPitch(new int[0], 440, 48_000).isFor(24_000));
  }

  /** What rings into a note makes it unsure as well, and both have the period of a lower one. */
  @Test
  void aNoteThatAnotherRingsIntoIsNamedByWhatIsHeard() {
    Pitch unsure = new Pitch(64, 3, 330, 0.39, Double.NaN);
    assertTrue(region(unsure, Set.of()).mayBe(planned(48_000)));
    assertFalse(region(unsure, Set.of(Flag.IN_TAIL)).mayBe(planned(48_000)));
  }

  private static Region region(Pitch pitch, Set<Flag> flags) {
    return new Region(
        0, 480, 20_000, Kind.PITCHED, pitch, 0.39, false, flags, -10, -20, Blemishes.NONE, null);
  }
}
