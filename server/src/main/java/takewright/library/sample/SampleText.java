package takewright.library.sample;

import takewright.audio.RiffInfo;
import takewright.audio.WavChunks;

/**
 * What a sample's file says for a person, or a program that shows it.
 *
 * @param description what the sample is, then what the sheet says about the library
 * @param info artist, subject, copyright and comment, as far as they were given
 */
record SampleText(String description, RiffInfo info) {
  /** The chunk of broadcasters. Its date and time are empty: a take always gives the same bytes. */
  WavChunks.Broadcast broadcast() {
    return new WavChunks.Broadcast(description, "Takewright", "", "", "", 0);
  }

  /** Adds all of it to a recipe. */
  void addTo(Recipe recipe) {
    recipe.add("description", description);
    info.texts().forEach((id, text) -> recipe.add("info " + id, text));
  }
}
