/**
 * Takes as a build reads them: cut into regions and matched, with the room tone of each microphone and
 * the levels of all regions, and watched so that none changes while it is built from.
 */
package takewright.library.take;
