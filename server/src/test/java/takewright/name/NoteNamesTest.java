package takewright.name;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Map;
import net.jqwik.api.ForAll;
import net.jqwik.api.Property;
import net.jqwik.api.constraints.IntRange;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

class NoteNamesTest {

  /**
   * MIDI 1.0: note 60 is middle C, the keys are 0 to 127. Octaves are numbered as in scientific
   * pitch notation (common practice; MIDI numbers none).
   */
  @ParameterizedTest
  @CsvSource({"60,C4", "69,A4", "0,C-1", "127,G9", "21,A0", "108,C8", "61,C#4", "58,A#3"})
  void spellsTheKeysAsTheStandardsCountThem(int midi, String name) {
    assertEquals(name, NoteNames.DEFAULTS.spell(midi));
    assertEquals(midi, NoteNames.DEFAULTS.parse(name));
  }

  @Property
  void everyNoteReadsBackInEverySpelling(
      @ForAll @IntRange(max = 127) int midi,
      @ForAll @IntRange(min = 3, max = 5) int middleC,
      @ForAll boolean flats,
      @ForAll boolean s,
      @ForAll boolean readsOther) {
    NoteNames writes = new NoteNames(middleC, flats, s ? "s" : "#");
    NoteNames reads = readsOther ? new NoteNames(middleC, !flats, s ? "#" : "s") : writes;
    String name = writes.spell(midi);
    assertEquals(midi, reads.parse(name));
    assertEquals(midi, reads.parse(name.toLowerCase(java.util.Locale.ROOT)));
    assertEquals(midi, reads.parse(name.toUpperCase(java.util.Locale.ROOT)));
  }

  /** Enharmonic spellings: common practice; the octave number changes between B and C. */
  @ParameterizedTest
  @CsvSource({
    "Cb4,59",
    "B#3,60",
    "E#4,65",
    "Fb4,64",
    "C♯4,61",
    "D♭4,61",
    "bb3,58",
    "b3,59",
    "Bbb3,57",
    "F##4,67",
    "Fx4,67",
    "Cs4,61",
    "Es4,65",
    "C#-1,1",
    "B#-2,0",
    "' A4 ',69",
    "Ab-1,8"
  })
  void readsOtherSpellings(String name, int midi) {
    assertEquals(midi, NoteNames.DEFAULTS.parse(name));
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "", " ", "H4", "C", "F", "4", "60", "C#", "C#b4", "Cbbb4", "C###4", "C4.5", "C--1", "C+1",
        "C4x", "C999", "1E4", "♯4", "C 4"
      })
  void refusesWhatIsNoNoteAndNamesIt(String text) {
    var e = assertThrows(IllegalArgumentException.class, () -> NoteNames.DEFAULTS.parse(text));
    assertTrue(e.getMessage().startsWith("`note` is not a note: \"" + text + "\""), e.getMessage());
  }

  @ParameterizedTest
  @ValueSource(strings = {"G#9", "A9", "Cb-1", "C-2", "C10"})
  void refusesNotesBeyondTheKeysAndNamesThem(String text) {
    var e = assertThrows(IllegalArgumentException.class, () -> NoteNames.DEFAULTS.parse(text));
    assertEquals(
        "`note` is beyond the keys: \""
            + text
            + "\"; give a note from C-1 to G9, where middle C is C4",
        e.getMessage());
  }

  @Test
  void theLowestNoteDependsOnMiddleC() {
    assertEquals(0, new NoteNames(3, false, "#").parse("C-2"));
    assertEquals(0, new NoteNames(5, false, "#").parse("C0"));
    assertEquals("C0", new NoteNames(5, false, "#").spell(0));
  }

  @Test
  void aSpellingIsToldByTheNamesThatFollowIt() {
    assertEquals(new NoteNames(5, false, "s"), NoteNames.of(Map.of("C5", 60, "Fs5", 66)));
    assertEquals(new NoteNames(3, true, "#"), NoteNames.of(Map.of("Bb3", 70, "C3", 60, "G4", 67)));
    assertEquals(new NoteNames(4, false, "s"), NoteNames.of(Map.of("As3", 58)));
    assertEquals(NoteNames.DEFAULTS, NoteNames.of(Map.of("C4", 60)));
    assertEquals(NoteNames.DEFAULTS, NoteNames.of(Map.of("C3", 60, "C4", 60, "C5", 60)));
    assertEquals(NoteNames.DEFAULTS, NoteNames.of(Map.of("", 60)));
  }

  @Test
  void refusesBadSettings() {
    assertThrows(IllegalArgumentException.class, () -> new NoteNames(2, false, "#"));
    assertThrows(IllegalArgumentException.class, () -> new NoteNames(4, false, "x"));
    assertThrows(IllegalArgumentException.class, () -> NoteNames.DEFAULTS.spell(128));
    assertThrows(IllegalArgumentException.class, () -> NoteNames.DEFAULTS.spell(-1));
  }
}
