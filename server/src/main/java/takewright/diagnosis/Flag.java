package takewright.diagnosis;

import java.util.HashMap;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;

/**
 * A mark on a region or a sample: why it was left out, or what a person should look at or listen
 * to.
 *
 * <p>The report's page, the table in {@code server/SHEET.md} and the lists in the contract all come
 * from here. The constants stand in the order of the stages that set them; a set of flags is
 * written in that order.
 */
public enum Flag {
  TALK(
      Stage.SEGMENT,
      80,
      "it sounds like speech",
      "listen to it, and keep it if it belongs to the instrument"),
  KNOCK(
      Stage.SEGMENT,
      79,
      "it sounds like a knock",
      "listen to it, and keep it if it belongs to the instrument"),
  BREATH(
      Stage.SEGMENT,
      78,
      "it sounds like a breath without a note",
      "listen to it, and keep it if it belongs to the instrument"),
  COUNT_IN(
      Stage.SEGMENT,
      77,
      "it is part of a count-in: three or more sounds evenly apart, and a note on the next beat",
      "listen to it, and keep it if it belongs to the instrument"),
  NO_PITCH(
      Stage.SEGMENT, 76, "no pitch is heard in it", "listen to it and check that it is the note"),
  TOO_SHORT(
      Stage.SEGMENT,
      75,
      "it is shorter than 50 ms, which is too short for a note",
      "listen to it, and keep it if it is complete"),
  CLIPPED(
      Stage.SEGMENT,
      90,
      "its peaks are cut off flat",
      "lower the input gain, and play it again while the player is there"),
  DROPOUT(
      Stage.SEGMENT,
      82,
      "there are gaps in the sound",
      "check the disk and the cables, and play it again while the player is there"),
  RINGS_ON(
      Stage.SEGMENT,
      58,
      "it rings on into the next note and is cut where that note begins",
      "listen to its end; leave a longer pause when it is played again"),
  IN_TAIL(
      Stage.SEGMENT,
      57,
      "it begins while the note before it still rings",
      "listen to its beginning; leave a longer pause when it is played again"),
  NOISY(
      Stage.SEGMENT,
      45,
      "it is less than 20 dB above the room's noise",
      "quieten the room, or move the microphone closer"),
  TOO_LONG(
      Stage.MATCH,
      74,
      "it is longer than two minutes, which is too long for a sample",
      "look at the take there: where several notes run together, leave pauses between them"),
  FALSE_START(
      Stage.MATCH,
      50,
      "it was broken off and begun again",
      "listen to it, and keep it if it is complete"),
  WRONG_START(
      Stage.MATCH,
      64,
      "it begins on another note before it reaches its own",
      "listen to its beginning, and play it again while the player is there"),
  DISTURBED(
      Stage.MATCH,
      63,
      "something else is heard in it for a while, like a scratch, a knock or a voice",
      "listen to it: move its start or end if that leaves it out, or play it again while the player"
          + " is there"),
  UNSURE(
      Stage.MATCH,
      66,
      "it does not sound like one clear note; only its place in the take's order says what it is",
      "listen to it, and keep it or drop it"),
  SHORT_OF_BARS(
      Stage.MATCH,
      55,
      "its sound is over well before its bars are",
      "listen to its end, and check that it was not broken off"),
  ODD_LENGTH(
      Stage.MATCH,
      54,
      "it is far longer or shorter than the notes around it",
      "listen to its end: another sound may be in it, or some of it may be missing"),
  FORCED(
      Stage.MATCH,
      5,
      "it is kept because the sheet says so",
      "take it out of `keep` if you have changed your mind"),
  DROPPED(
      Stage.MATCH,
      5,
      "it is left out because the sheet says so",
      "take it out of `drop` if you have changed your mind"),
  OCTAVE_UNSURE(
      Stage.TUNE,
      72,
      "it may sound in another octave than its name says",
      "listen to it and check the octave"),
  QUARTER_TONE_OFF(
      Stage.TUNE,
      66,
      "it sounds more than a quarter tone off the note of its name, or did before it was tuned",
      "listen to it and check that it is the note: drop it, or play it again"),
  OUT_OF_TUNE(
      Stage.TUNE,
      86,
      "it is further out of tune than `limit_cents` allows, and was left as it sounds",
      "listen to it: drop it if it is a wrong note, or play it again"),
  DRIFT_LIMIT(
      Stage.TUNE,
      42,
      "its pitch drifts by more than `limit_cents`, so some of the drift is left",
      "listen to it, and play it again if the drift disturbs"),
  NO_ROOM_TONE(
      Stage.CLEAN,
      46,
      "no quiet stretch was found in the take, so its noise was not reduced",
      "record some seconds of silence in the next take, or name a stretch with `room_tone`"),
  HUM(
      Stage.CLEAN,
      14,
      "the room is mostly mains hum, and the hum was removed",
      "listen for what is left of it; check the cables before the next take"),
  CLICK_MENDED(
      Stage.CLEAN,
      12,
      "a click in it was repaired",
      "listen to the repair; what was taken away can be heard beside it"),
  NEAR_ROOM(
      Stage.CLEAN,
      34,
      "it is hardly louder than the room, so cleaning takes some of the sound too",
      "listen to what was taken away; clean it less, or play it again closer to the microphone"),
  ROOM_MOVES(
      Stage.CLEAN,
      33,
      "the room's level moved around it, so cleaning may take too much or too little under it",
      "listen to what was taken away; play it again while the room is steady"),
  PASSING_NOISE(
      Stage.CLEAN,
      48,
      "noise from outside came and went under it, and was not removed",
      "listen for it below the note, and play it again when it is quiet"),
  LEVEL_LIMIT(
      Stage.LEVEL,
      44,
      "its level could not be moved as far as it should be, for `max_db` or for its peak",
      "compare it with its neighbours"),
  NO_LOOP(
      Stage.LOOP, 38, "no loop was found in it", "check that the note is long and steady enough"),
  LOOP_FAIR(
      Stage.LOOP,
      28,
      "its loop is the best there is, but can be heard where it turns round",
      "hold the note in the report; set `loop: no` if it disturbs, or choose another round robin"),
  LAYER_LIMIT(
      Stage.LAYER,
      36,
      "this layer was lowered on its own, as it would have passed full scale",
      "compare it with its neighbours, or give the layer a lower gain"),
  SILENT(
      Stage.ANALYSE,
      96,
      "there is no sound in it",
      "look at the take around it, and play it again while the player is there"),
  DC(
      Stage.ANALYSE,
      40,
      "it does not swing around zero: the recording has a DC offset",
      "check the recording interface"),
  SEVERAL_PITCHES(
      Stage.ANALYSE,
      62,
      "several pitches sound at once in it",
      "listen for an open string or a second player"),
  SECOND_EAR_DISAGREES(
      Stage.ANALYSE,
      70,
      "a second, independent detector hears another note in it than its name says",
      "listen to it, and check the note and its octave");

  /** What sets a flag. */
  public enum Stage {
    /** Cutting a take into regions. */
    SEGMENT,
    /** Deciding which region fills which cell. */
    MATCH,
    /** Moving the pitch. */
    TUNE,
    /** Reducing the room's noise. */
    CLEAN,
    /** Matching levels. */
    LEVEL,
    /** Finding a loop. */
    LOOP,
    /** Making a further layer. */
    LAYER,
    /** Measuring what is finished, or a file that is given. */
    ANALYSE;

    /** As it stands in tables. */
    public String word() {
      return name().toLowerCase(Locale.ROOT);
    }
  }

  private static final Map<String, Flag> BY_WORD = new HashMap<>();

  static {
    for (Flag flag : values()) {
      BY_WORD.put(flag.word, flag);
    }
  }

  private final String word;
  private final Stage stage;
  private final int weight;
  private final String meaning;
  private final String remedy;

  Flag(Stage stage, int weight, String meaning, String remedy) {
    word = name().toLowerCase(Locale.ROOT);
    this.stage = stage;
    this.weight = weight;
    this.meaning = meaning;
    this.remedy = remedy;
  }

  /** As it stands in tables and in the contract, such as {@code rings_on}. */
  public String word() {
    return word;
  }

  /** What sets it first; later stages may find the same. */
  public Stage stage() {
    return stage;
  }

  /** How urgently a person should look at it, 1 to 99; a missing sample would be 100. */
  public int weight() {
    return weight;
  }

  /** What was found, as a clause without a full stop whose subject, mostly "it", is the sound. */
  public String meaning() {
    return meaning;
  }

  /** What to do about it, in the imperative, without a full stop. */
  public String remedy() {
    return remedy;
  }

  /** Its word. */
  @Override
  public String toString() {
    return word;
  }

  /** The flag of a word; empty if there is none. */
  public static Optional<Flag> of(String word) {
    return Optional.ofNullable(BY_WORD.get(word));
  }
}
