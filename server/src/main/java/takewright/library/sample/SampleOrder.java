package takewright.library.sample;

import takewright.analyse.AnalyseSettings;
import takewright.diagnosis.Flags;
import takewright.level.NoteGain;
import takewright.library.take.Fades;
import takewright.library.take.KeptRegion;
import takewright.pitch.Pitch;
import takewright.segment.Region;
import takewright.sheet.LevelRules;
import takewright.sheet.Output;
import takewright.sheet.Sheet;
import takewright.sheet.Treatment;
import takewright.sheet.TuningRules;
import takewright.sheet.cell.Cell;
import takewright.sheet.decision.Correction;
import takewright.sheet.decision.LoopChoice;

/**
 * How the samples of one region are to be made.
 *
 * @param region the region that fills the cell
 * @param cell the cell
 * @param treatment what is done to it
 * @param tuningHz frequency of A4 in hertz
 * @param tuning how it is brought in tune
 * @param leanCents what its neighbours add to how far it is heard to be off, in cents
 * @param gain its level's gain; null where levels are left alone
 * @param gainInFile whether the gain goes into the audio
 * @param amountDb noise reduction in dB
 * @param output what the file is to be
 * @param correction what a person corrects about it
 */
public record SampleOrder(
    Region region,
    Cell cell,
    Treatment treatment,
    double tuningHz,
    TuningRules tuning,
    double leanCents,
    NoteGain gain,
    boolean gainInFile,
    double amountDb,
    Output output,
    Correction correction) {
  static SampleOrder of(Sheet sheet, KeptRegion kept, double leanCents, NoteGain gain) {
    Correction correction = kept.correction();
    Double cleaningDb = correction.cleaningDb();
    return new SampleOrder(
        kept.region(),
        kept.cell(),
        kept.take().treatment().looping(correction.loop()),
        sheet.tuningHz(),
        kept.take().rules().tuning(),
        leanCents,
        corrected(gain, correction),
        kept.take().rules().levels().gain() != LevelRules.GainPlace.METADATA,
        cleaningDb == null ? kept.take().rules().cleaningDb() : cleaningDb,
        sheet.output(),
        correction);
  }

  /** Where a person sets the level, the curve does not say whether it is right. */
  private static NoteGain corrected(NoteGain gain, Correction correction) {
    if (correction.gainDb() == null) {
      return gain;
    }
    return gain == null
        ? new NoteGain(correction.gainDb(), false, Double.NaN)
        : new NoteGain(gain.gainDb() + correction.gainDb(), false, gain.curveLufs());
  }

  /** What a person adds to the measured correction of the pitch, in cents. */
  double addedCents() {
    return correction.cents() == null ? 0 : correction.cents();
  }

  /** Where a person wants the loop; null where it is looked for. */
  LoopChoice placedLoop() {
    LoopChoice loop = correction.loop();
    return loop != null && loop.isPlaced() ? loop : null;
  }

  /** How long it fades in, in seconds. */
  double fadeInS(double leadInS) {
    Double wanted = correction.fades().inMs();
    return wanted == null ? Fades.FADE_IN_SHARE * leadInS : wanted / 1000;
  }

  /** How long it fades out, in seconds. */
  double fadeOutS() {
    Double wanted = correction.fades().outMs();
    if (wanted != null) {
      return wanted / 1000;
    }
    return treatment.trimmed() ? Fades.TRIMMED_FADE_S : Fades.FADE_OUT_S;
  }

  /** Adds all of it to a recipe. */
  void addTo(Recipe recipe) {
    recipe
        .add("start", region.start())
        .add("onset", region.onset())
        .add("end", region.end())
        .add("kind", region.kind())
        .add("rejected", region.rejected())
        .add("flags", Flags.text(region.flags()))
        .add("midi", cell.midi())
        .add("tuned", treatment.tuned())
        .add("shift_cents", treatment.shiftCents())
        .add("looped", treatment.looped())
        .add("wants_loops", treatment.wantsLoops())
        .add("trimmed", treatment.trimmed())
        .add("tuning_hz", tuningHz)
        .addAll("temperament", tuning.temperament().offsets())
        .add("lean_cents", leanCents)
        .add("limit_cents", tuning.limitCents())
        .add("steady_pitch", tuning.steadyPitch())
        .add("gain_db", gain == null ? null : (Double) gain.gainDb())
        .add("level_limit", gain != null && gain.limited())
        .add("gain_in_file", gainInFile)
        .add("amount_db", amountDb)
        .add("added_cents", addedCents())
        .addSettings("loop", placedLoop())
        .addSettings("fades", correction.fades())
        .add("sample_rate", output.sampleRate())
        .add("bit_depth", output.bitDepth());
  }

  /** Whether the cell has a note, which its samples are held against. */
  boolean hasNote() {
    return cell.midi() != null;
  }

  /** How a sample of the cell is listened to: for the note that it should be. */
  AnalyseSettings listening() {
    return new AnalyseSettings(false, tuningHz).expecting(noteHz());
  }

  /** The frequency of the cell's note, in hertz. */
  double noteHz() {
    return tuning.temperament().hz(cell.midi(), tuningHz);
  }

  /** How far a pitch lies above the cell's note, in cents. */
  double centsOff(Pitch pitch) {
    int midi = cell.midi();
    return 100.0 * (pitch.midi() - midi) + pitch.cents() - tuning.temperament().cents(midi);
  }
}
