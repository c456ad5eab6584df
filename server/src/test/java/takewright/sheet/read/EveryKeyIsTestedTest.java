package takewright.sheet.read;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotNull;

import com.fasterxml.jackson.databind.JsonNode;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.InputStream;
import java.lang.reflect.Method;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.TreeMap;
import java.util.TreeSet;
import org.junit.jupiter.api.Test;

/**
 * Each key of a take and of its fixes has a test that builds with it and without it, and measures
 * the sound or the table. A key that is added to the sheet is added here with its test.
 */
class EveryKeyIsTestedTest {
  private static final String TESTS =
      """
      file              job.TakesAsRecordedTest.filesThatContinueEachOtherAreOneTake
      files             library.TakesOfASheetTest.microphonesOfATakeAreCutAndTunedAlike
      between           job.TakesAsRecordedTest.aTakeMayBePartOfAFile
      articulation      job.PlayedKeysTest.aDynamicIsCalledAsTheTakeSays
      kind              job.PlayedKeysTest.aPhraseIsNeitherNamedNorTuned
      notes             job.PlayedKeysTest.notesAndRoundRobinsSayWhatIsKeptAndMissing
      dynamics          job.PlayedKeysTest.aDynamicIsCalledAsTheTakeSays
      round_robins      job.PlayedKeysTest.notesAndRoundRobinsSayWhatIsKeptAndMissing
      order             job.PlayedKeysTest.theOrderSaysWhichTapIsWhich
      fills             job.PickUpsTest.gapsAreFilledLevelledAndTunedToTheLibraryTheyJoin
      tempo_bpm         library.TakesOfASheetTest.samplesOfATakeWithATempoHoldTheirBars
      beats_per_bar     job.KeysOfATakeTest.theBeatsOfABarSayHowLongItIs
      bars              job.PlayedKeysTest.barsSayHowLongASampleIs
      lead_in_ms        library.TakesOfASheetTest.leadInIsAsLongAsTheSheetSays
      cutting           job.RulesOfATakeTest.aTakeIsCutAsItSays
      cutting.from      cli.MarkersRoundTripTest.withoutMarkersOrWithoutTheKeyTheyAreNotTaken
      cutting.start_db  job.RulesOfATakeTest.aTakeIsCutAsItSays
      cutting.end_db    job.KeysOfATakeTest.aHigherEndCutsATailShorter
      cutting.min_gap_ms        job.RulesOfATakeTest.aTakeIsCutAsItSays
      cutting.min_length_ms     job.RulesOfATakeTest.aTakeIsCutAsItSays
      let_ring          job.PlayedKeysTest.notesThatMayRingAreNotFlaggedForIt
      cleaning          job.RulesOfATakeTest.theRoomOfATakeIsLoweredByAsMuchAsItSays
      cleaning.amount_db        job.RulesOfATakeTest.theRoomOfATakeIsLoweredByAsMuchAsItSays
      tuning            job.RulesOfATakeTest.theTuningOfATakeIsItsOwn
      tuning.temperament        job.KeysOfATakeTest.theTemperamentOfATakeIsItsOwn
      tuning.temperament_root   job.PlayedKeysTest.theRootOfATemperamentIsTheTakesOwn
      tuning.offsets_cents      job.PlayedKeysTest.aTableOfOffsetsIsTheTakesOwn
      tuning.limit_cents        job.RulesOfATakeTest.theTuningOfATakeIsItsOwn
      tuning.steady_pitch       job.PlayedKeysTest.aDriftIsMadeLevelInTheTakeThatAsksForIt
      levels            job.RulesOfATakeTest.theLevelsOfATakeMayKeepSomeOfTheirDifferences
      levels.gain       job.RulesOfATakeTest.theGainOfATakeMayStayBesideItsFiles
      levels.max_db     job.RulesOfATakeTest.theLevelsOfATakeMayKeepSomeOfTheirDifferences
      levels.strength   job.RulesOfATakeTest.theLevelsOfATakeMayKeepSomeOfTheirDifferences
      tune              job.TuningKeysHeardTest.tuneNoLeavesEachNoteAsItWasPlayed
      loop              job.KeysOfATakeTest.aTakeMayHaveLoopsWhereTheSheetWantsNone
      trim_round_robins job.LengthAndLevelKeysTest.roundRobinsAreTrimmedToTheShortestOnlyWhereAskedFor
      keep              library.TakesOfASheetTest.whatAPersonDecidesHoldsForEveryBuild
      drop              library.TakesOfASheetTest.whatAPersonDecidesHoldsForEveryBuild
      room_tone         job.LengthAndLevelKeysTest.theRoomToneThatTheSheetNamesIsWhatIsTakenAway
      fixes             job.FixesHeardTest.withoutFixesWhatIsHeardDecides
      fixes.at          job.FixesHeardTest.centsAreAddedToWhatWasMeasured
      fixes.note        job.FixesHeardTest.aRegionIsWhatItIsSaidToBe
      fixes.dynamic     job.FixesHeardTest.aRegionIsWhatItIsSaidToBe
      fixes.rr          job.FixesHeardTest.aRegionIsWhatItIsSaidToBe
      fixes.start_s     job.FixesHeardTest.theSampleBeginsAndEndsWhereItIsPut
      fixes.end_s       job.FixesHeardTest.anEndAloneLeavesTheOnset
      fixes.cents       job.FixesHeardTest.centsAreAddedToWhatWasMeasured
      fixes.gain_db     job.FixesHeardTest.gainIsAddedToWhatWasMeasured
      fixes.loop_s      job.FixesHeardTest.theLoopLiesWhereItIsPut
      fixes.loop        job.FixesHeardTest.thereIsNoLoopWhereNoneIsWanted
      fixes.cleaning_db job.FixesHeardTest.theRoomIsLoweredByAsMuchAsIsAskedFor
      fixes.fade_in_ms  job.FadesHeardTest.aFadeIsAsLongAsWasDecided
      fixes.fade_out_ms job.FadesHeardTest.aFadeIsAsLongAsWasDecided
      fixes.accept      job.FixesHeardTest.onlyTheFlagsThatAreAcceptedVanish
      fixes.keep        job.FixesHeardTest.whatIsKeptTakesThePlaceOfAnotherAttempt
      fixes.drop        job.FixesHeardTest.whatIsDroppedLeavesItsPlaceToAnotherAttempt
      """;

  private static Map<String, String> tests() {
    Map<String, String> tests = new TreeMap<>();
    TESTS.lines().map(line -> line.split("\\s+")).forEach(words -> tests.put(words[0], words[1]));
    return tests;
  }

  @Test
  void eachKeyHasATestThatTurnsItOff() throws Exception {
    try (InputStream in =
        EveryKeyIsTestedTest.class.getResourceAsStream("/takewright/sheet/schema.json")) {
      JsonNode take = new ObjectMapper().readTree(in).at("/properties/takes/items/properties");
      List<String> keys = new ArrayList<>();
      add(take, "", keys);
      assertEquals(new TreeSet<>(keys), tests().keySet());
    }
  }

  private static void add(JsonNode properties, String within, List<String> keys) {
    properties
        .properties()
        .forEach(
            key -> {
              String path = within + key.getKey();
              keys.add(path);
              add(key.getValue().path("properties"), path + ".", keys);
              add(key.getValue().at("/items/properties"), path + ".", keys);
              key.getValue()
                  .path("anyOf")
                  .forEach(either -> add(either.path("properties"), path + ".", keys));
            });
  }

  @Test
  void theTestsAreThere() throws ClassNotFoundException {
    for (String test : tests().values()) {
      int dot = test.lastIndexOf('.');
      Class<?> type = Class.forName("takewright." + test.substring(0, dot));
      Method found =
          Arrays.stream(type.getDeclaredMethods())
              .filter(method -> method.getName().equals(test.substring(dot + 1)))
              .findFirst()
              .orElse(null);
      assertNotNull(found, test);
      assertNotNull(found.getAnnotation(Test.class), test);
    }
  }
}
