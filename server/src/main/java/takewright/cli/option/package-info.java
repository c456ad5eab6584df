/** Options that several commands share: how they are written, and what they mean to the service. */
package takewright.cli.option;
